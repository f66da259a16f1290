# blender -b -P scene.py -- OUT FROM TO SEED [WIDTH] [SPP]
import bpy, sys, os, json, math
import numpy as np
from mathutils import Matrix, Vector
a = sys.argv[sys.argv.index('--')+1:]
OUT, FROM, TO, SEED = a[0], int(a[1]), int(a[2]), int(a[3])
W = int(a[4]) if len(a) > 4 else 1200
SPP = int(a[5]) if len(a) > 5 else 48
H = W*3//4
os.makedirs(OUT, exist_ok=True)
LIGHTS = ['ring','dome','side','two','window','coaxial']

def fillet(p, c, q, r, n=8):
    "points of the arc of radius r between segments p-c and c-q (2D)"
    u = np.array(p)-c; v = np.array(q)-c
    lu, lv = np.hypot(*u), np.hypot(*v)
    u, v = u/lu, v/lv
    ang = math.acos(np.clip(u@v, -1, 1))       # interior angle
    t = min(r/math.tan(ang/2), .45*lu, .45*lv)
    rr = t*math.tan(ang/2)
    mid = (u+v)/np.hypot(*(u+v))
    cen = c + mid*rr/math.sin(ang/2)
    s, e = c+u*t-cen, c+v*t-cen
    a0, a1 = math.atan2(s[1], s[0]), math.atan2(e[1], e[0])
    d = (a1-a0+math.pi) % (2*math.pi)-math.pi
    k = a0+d*np.linspace(0, 1, n+1)
    return cen[None]+rr*np.stack([np.cos(k), np.sin(k)], 1)

def smooth_noise(rng, th, lo, hi):
    k = np.arange(lo, hi)
    amp = rng.normal(size=len(k))/k**.7; ph = rng.uniform(0, 2*np.pi, len(k))
    y = (amp[:, None]*np.cos(k[:, None]*th[None]+ph[:, None])).sum(0)
    return y/y.std()

def grid(name, pts, mat, smooth):
    "pts: n_theta x m x 3"
    n, m, _ = pts.shape
    v = pts.reshape(-1, 3)
    i, j = np.meshgrid(np.arange(n), np.arange(m-1), indexing='ij')
    i2 = (i+1) % n
    f = np.stack([i*m+j, i2*m+j, i2*m+j+1, i*m+j+1], -1).reshape(-1, 4)
    me = bpy.data.meshes.new(name)
    me.from_pydata(v.tolist(), [], f.tolist())
    me.polygons.foreach_set('use_smooth', [smooth]*len(f))
    me.update()
    o = bpy.data.objects.new(name, me); o.data.materials.append(mat)
    bpy.context.collection.objects.link(o)
    return o

def metal(name, rng, base, rough, aniso, marks):
    m = bpy.data.materials.new(name); m.use_nodes = True
    nt = m.node_tree; nt.nodes.clear(); N = nt.nodes.new; L = nt.links.new
    out = N('ShaderNodeOutputMaterial'); g = N('ShaderNodeBsdfAnisotropic' if False else 'ShaderNodeBsdfGlossy')
    g.distribution = 'GGX'; g.inputs['Roughness'].default_value = rough
    tc = N('ShaderNodeTexCoord'); mp = N('ShaderNodeMapping'); L(tc.outputs['Object'], mp.inputs[0])
    mp.inputs['Location'].default_value = marks.get('at', (0,0,0))
    wv = N('ShaderNodeTexWave'); wv.wave_type = marks['type']
    if marks['type'] == 'RINGS': wv.rings_direction = 'Z'
    else: wv.bands_direction = marks.get('dir', 'X')
    wv.wave_profile = 'SIN'
    # Blender's wave: sin(x*scale*20/...) : period = pi/(10*scale)... 
    wv.inputs['Scale'].default_value = math.pi/10/marks['period']
    wv.inputs['Distortion'].default_value = marks.get('distort', .6); wv.inputs['Detail'].default_value = 3
    wv.inputs['Detail Scale'].default_value = 2.0
    L(mp.outputs[0], wv.inputs['Vector'])
    no = N('ShaderNodeTexNoise'); no.inputs['Scale'].default_value = marks.get('grain', 12); no.inputs['Detail'].default_value = 6
    L(mp.outputs[0], no.inputs['Vector'])
    mix = N('ShaderNodeMath'); mix.operation = 'MULTIPLY_ADD'; mix.inputs[1].default_value = marks.get('noise', .6)
    L(no.outputs['Fac'], mix.inputs[0]); L(wv.outputs['Fac'], mix.inputs[2])
    b = N('ShaderNodeBump'); b.inputs['Distance'].default_value = marks['height']; b.inputs['Strength'].default_value = 1
    L(mix.outputs[0], b.inputs['Height']); L(b.outputs[0], g.inputs['Normal'])
    ramp = N('ShaderNodeMapRange'); ramp.inputs['To Min'].default_value = base*(1-marks.get('stain', .15)); ramp.inputs['To Max'].default_value = base
    L(no.outputs['Fac'], ramp.inputs['Value'])
    L(ramp.outputs[0], g.inputs['Color'])
    df = N('ShaderNodeBsdfDiffuse'); L(ramp.outputs[0], df.inputs['Color']); L(b.outputs[0], df.inputs['Normal'])
    mx = N('ShaderNodeMixShader'); mx.inputs[0].default_value = marks.get('diffuse', .15)
    L(g.outputs[0], mx.inputs[1]); L(df.outputs[0], mx.inputs[2])
    L(mx.outputs[0], out.inputs['Surface'])
    return m

def plain(name, albedo):
    m = bpy.data.materials.new(name); m.use_nodes = True
    nt = m.node_tree; nt.nodes.clear()
    out = nt.nodes.new('ShaderNodeOutputMaterial'); d = nt.nodes.new('ShaderNodeBsdfDiffuse')
    d.inputs['Color'].default_value = (albedo,)*3+(1,)
    nt.links.new(d.outputs[0], out.inputs['Surface'])
    return m

def glow(name, power):
    m = bpy.data.materials.new(name); m.use_nodes = True
    nt = m.node_tree; nt.nodes.clear()
    out = nt.nodes.new('ShaderNodeOutputMaterial'); d = nt.nodes.new('ShaderNodeEmission')
    d.inputs['Strength'].default_value = power
    nt.links.new(d.outputs[0], out.inputs['Surface'])
    return m

def quad(name, corners, mat):
    me = bpy.data.meshes.new(name); me.from_pydata([tuple(c) for c in corners], [], [tuple(range(len(corners)))]); me.update()
    o = bpy.data.objects.new(name, me); o.data.materials.append(mat); bpy.context.collection.objects.link(o); return o

def annulus(name, centre, axis, r0, r1, mat, n=64):
    axis = Vector(axis).normalized(); q = axis.to_track_quat('Z', 'Y').to_matrix()
    t = np.linspace(0, 2*np.pi, n, endpoint=False)
    pts = np.zeros((n, 2, 3))
    for k, r in enumerate((r0, r1)):
        for i, x in enumerate(t):
            pts[i, k] = Vector(centre)+q@Vector((r*math.cos(x), r*math.sin(x), 0))
    return grid(name, pts, mat, False)

def area(name, at, to, size, power):
    l = bpy.data.lights.new(name, 'AREA'); l.shape = 'RECTANGLE'; l.size, l.size_y = size; l.energy = power
    o = bpy.data.objects.new(name, l); o.location = at
    o.rotation_euler = (Vector(to)-Vector(at)).to_track_quat('-Z', 'Y').to_euler()
    bpy.context.collection.objects.link(o)

def shot(i):
    rng = np.random.default_rng([SEED, i]); U = rng.uniform
    light = LIGHTS[i % 6]
    bpy.ops.wm.read_factory_settings(use_empty=True)
    sc = bpy.context.scene
    bore = float(rng.choice([4.5, 5.5, 6.6, 9, 10.5, 12, 12.7, 16, 18, 20, 22, 25])); R = bore/2
    nominal = float(rng.choice([.127, .15, .2, .25, .3, .4, .5, .6]))
    span = U(.45, .72)                      # hole's outer diameter of the picture's height
    ppm = span*H/(2*(R+nominal))*1.0
    while nominal*ppm < 5 or nominal > .2*R:
        nominal = float(rng.choice([.127, .15, .2, .25, .3, .4, .5, .6])); bore = float(rng.choice([4.5, 5.5, 6.6, 9, 10.5, 12, 12.7, 16, 18, 20, 22, 25])); R = bore/2
        span = U(.45, .75); ppm = span*H/(2*(R+nominal))
    w = nominal*U(.94, 1.06)
    half = math.radians(float(rng.choice([45, 45, 45, 45, 41, 60]))) if U() < .9 else math.radians(45)
    T = U(max(5, .6*bore), 14)
    size = float(rng.choice([.25, .6, 1, 1.3], p=[.4, .35, .15, .1]))*w*math.sqrt(U(.1, 1)); ang = U(0, 2*np.pi)
    d = np.array([size*math.cos(ang), size*math.sin(ang)])
    dist = U(85, 240); tilt = abs(rng.normal(0, 2.5)) if U() < .8 else U(3, 8); tilt = min(tilt, 8); ta = U(0, 2*np.pi)
    tx, ty = math.radians(tilt*math.cos(ta)), math.radians(tilt*math.sin(ta))
    roll = U(-math.pi, math.pi) if U() < .6 else U(-.08, .08)
    round_mm = float(rng.choice([0, 4, 8, 12, 16, 20]))/1000; rough_mm = U(.5, 3)/1000
    backing = str(rng.choice(['dark', 'grey', 'paper']))
    NT = 1440
    th = np.linspace(0, 2*np.pi, NT, endpoint=False); e = np.stack([np.cos(th), np.sin(th)], 1)
    # outer edge along the ray from the bore's axis
    b = e@d; ro = b+np.sqrt(np.maximum((R+w)**2-(d@d-b*b), 0))
    n1, n2 = rough_mm*smooth_noise(rng, th, 12, 200), rough_mm*smooth_noise(rng, th, 12, 200)
    defects = []
    bump = np.zeros(NT)
    if U() < .25:
        at, wd, sz = U(0, 2*np.pi), math.radians(U(4, 30)), U(20, 70)/1000
        k = np.abs((th-at+np.pi) % (2*np.pi)-np.pi)/(wd/2); bump = np.where(k < 1, sz*np.cos(k*np.pi/2)**2*(1+.3*smooth_noise(rng, th, 30, 300)), 0)
        defects.append(dict(kind='gouge', centre_deg=math.degrees(at), width_deg=math.degrees(wd), size_um=sz*1000))
    bore_in = R+n2
    depth = (R+w-np.hypot(*(e*R-d).T))/math.tan(half)
    gone = depth <= 0
    outer = np.where(gone, bore_in, np.maximum(ro+n1, bore_in+1e-4))+bump
    depth = np.maximum(depth, 0)
    FAR = 4*R+12
    rows = []
    for k in range(NT):
        F, A, B = np.array([FAR, 0.]), np.array([outer[k], 0.]), np.array([bore_in[k], -depth[k]])
        C, G = np.array([R, -T]), np.array([FAR, -T])
        r = max(round_mm, 1e-4)
        if gone[k] and bump[k] == 0:
            f = fillet(F, np.array([bore_in[k], 0.]), C, r, 16); f1, f2 = f[:9], f[8:]
        else:
            f1, f2 = fillet(F, A, B, r, 8), fillet(A, B, C, r, 8)
        f3 = fillet(B, C, G, max(round_mm, .01), 4)
        rows.append((F, f1, f2, f3, G))
    def sweep(p2):  # list of (m,2) -> NT x m x 3
        p2 = np.array(p2); return np.concatenate([p2[..., :1]*e[:, None, :], p2[..., 1:]], -1)
    ra, rb, rc = U(.15, .4), U(.12, .4), U(.15, .4)
    al = U(.5, .92)
    face = metal('face', rng, al, ra, 0, dict(type='RINGS', at=(U(-40, 40)+15, U(-40, 40), 0), period=U(.05, .4), height=U(.0005, .004)*U(.2, 1.5), noise=U(.2, 1), grain=U(3, 40), diffuse=U(.02, .3)))
    cham = metal('cham', rng, al, rb, 0, dict(type='RINGS', at=(-d[0], -d[1], 0), period=U(.02, .1), height=U(.0002, .0012), noise=U(.2, 1), grain=U(5, 40), diffuse=U(.02, .3)))
    wall = metal('wall', rng, al*U(.6, 1), rc, 0, dict(type='BANDS', dir='Z', period=U(.05, .3), height=U(.0003, .003), noise=U(.2, 1), grain=U(3, 20), diffuse=U(.02, .3)))
    ramp = np.linspace(0, 1, 2)[:, None]
    # the face: two rings, so that its quads stay well shaped
    fa = np.array([[r_[0], r_[1][0]+np.array([.5, 0]), r_[1][0]] for r_ in rows]); fa[:, 1, 1] = 0
    grid('face', sweep(fa), face, False)
    grid('f1', sweep([r_[1] for r_ in rows]), cham if U() < .5 else face, True)
    grid('cone', sweep([[r_[1][-1], r_[2][0]] for r_ in rows]), cham, False)
    grid('f2', sweep([r_[2] for r_ in rows]), cham, True)
    grid('wall', sweep([[r_[2][-1], r_[2][-1]*.75+r_[3][0]*.25, r_[3][0]] for r_ in rows]), wall, True)
    grid('f3', sweep([r_[3] for r_ in rows]), wall, True)
    grid('under', sweep([[r_[3][-1], r_[4]] for r_ in rows]), face, False)
    gap = {'dark': 12, 'grey': U(0, 2), 'paper': U(0, .6)}[backing]
    bz = -T-.02-gap
    alb = {'dark': .02, 'grey': U(.15, .4), 'paper': .85}[backing]
    quad('back', [(-300, -300, bz), (300, -300, bz), (300, 300, bz), (-300, 300, bz)], plain('back', alb))
    if U() < .25:
        dm = plain('dust', U(.02, .3))
        for _ in range(rng.integers(3, 14)):
            rr, aa, s = R+U(-.1, 2.5), U(0, 2*np.pi), U(.02, .12)
            if rr < R+w: rr = R+w+s
            bpy.ops.mesh.primitive_ico_sphere_add(subdivisions=1, radius=s, location=(rr*math.cos(aa), rr*math.sin(aa), s*.3))
            bpy.context.object.data.materials.append(dm)
        defects.append(dict(kind='dust', centre_deg=None, width_deg=None))
    # camera
    z = Vector((math.tan(tx), math.tan(ty), 1)).normalized()
    x = Vector((1, 0, 0)); x = (x-z*x.dot(z)).normalized(); y = z.cross(x)
    x, y = x*math.cos(roll)+y*math.sin(roll), -x*math.sin(roll)+y*math.cos(roll)
    off = .15*W/ppm if U() < .3 else .04*W/ppm
    ca = U(0, 2*np.pi); o = off*math.sqrt(U())
    c0 = Vector((o*math.cos(ca), o*math.sin(ca)*.7, 0))
    pos = c0+z*dist
    cam = bpy.data.cameras.new('c'); co = bpy.data.objects.new('c', cam); bpy.context.collection.objects.link(co)
    m = Matrix.Identity(4)
    for k, col in enumerate((x, y, z)):
        for r_ in range(3): m[r_][k] = col[r_]
    for r_ in range(3): m[r_][3] = pos[r_]
    co.matrix_world = m; sc.camera = co
    fpx = ppm*dist
    cam.sensor_fit = 'HORIZONTAL'; cam.sensor_width = 36; cam.lens = fpx*36/W; cam.clip_end = 2000; cam.clip_start = 1
    def project(P):
        v = Vector(P)-pos; return np.array([W/2-.5+fpx*v.dot(x)/-v.dot(z), H/2-.5-fpx*v.dot(y)/-v.dot(z)])
    # light
    wl = bpy.data.worlds.new('w'); sc.world = wl; wl.use_nodes = True
    bg = wl.node_tree.nodes['Background']; amb = U(.06, .3)
    az = U(0, 2*np.pi)
    def aim(az, el, D): return (D*math.cos(el)*math.cos(az), D*math.cos(el)*math.sin(az), D*math.sin(el))
    if light == 'ring':
        h = dist*U(.35, .9); r0 = U(14, 40)
        annulus('ring', c0+z*h, z, r0, r0+U(4, 14), glow('g', 12))
    elif light == 'dome':
        amb = 1; annulus('lens', c0+z*(dist+2), z, 0.01, U(8, 25), plain('black', .01))
    elif light == 'side':
        s = U(15, 80); area('l', aim(az, math.radians(U(18, 50)), 120), (0, 0, 0), (s, s), 9e4)
    elif light == 'two':
        s = U(15, 60); el = math.radians(U(20, 55)); kx = U(.6, 1.4)
        area('l', aim(az, el, 120), (0, 0, 0), (s, s), 9e4); area('l2', aim(az+math.pi+U(-.15, .15), el+U(-.1, .1), 120), (0, 0, 0), (s, s), 9e4*kx)
    elif light == 'window':
        area('l', aim(az, math.radians(U(35, 65)), 500), (0, 0, 0), (U(200, 500), U(200, 400)), 4e6); amb = U(.1, .5)
    else:
        annulus('disc', pos+z*3, z, .01, U(12, 45), glow('g', 20)); 
    bg.inputs[1].default_value = amb
    r = sc.render; r.engine = 'CYCLES'; r.resolution_x, r.resolution_y, r.resolution_percentage = W, H, 100
    cy = sc.cycles; cy.samples = SPP; cy.use_adaptive_sampling = False; cy.use_denoising = False; cy.seed = i+1
    cy.max_bounces = 6; cy.glossy_bounces = 6; cy.diffuse_bounces = 3; cy.caustics_reflective = False; cy.blur_glossy = .3; cy.sample_clamp_indirect = 4
    psf = U(.7, 1.7); cy.pixel_filter_type = 'BOX'; cy.filter_width = 1.0
    r.threads_mode = 'FIXED'; r.threads = 1
    r.image_settings.file_format = 'OPEN_EXR'; r.image_settings.color_depth = '32'
    exr = f'{OUT}/p{i:03d}.exr'; r.filepath = exr
    bpy.ops.render.render(write_still=True)
    img = bpy.data.images.load(exr); px = np.array(img.pixels[:], np.float32).reshape(H, W, img.channels)[::-1, :, :3]
    bpy.data.images.remove(img); os.remove(exr)
    np.save(f'{OUT}/p{i:03d}.npy', px.astype(np.float16))
    from scipy.ndimage import gaussian_filter
    px = np.stack([gaussian_filter(px[..., c_], math.sqrt(psf**2-1/12)) for c_ in range(3)], -1)
    # exposure: the face
    vv, uu = np.mgrid[0:H, 0:W]; c = project((0, 0, 0)); rr = np.hypot(uu-c[0], vv-c[1])
    on = (rr > (R+w)*ppm*1.1) & (rr < (R+w)*ppm*1.4)
    lum = px.mean(-1); px = px*(U(.16, .34)/np.median(lum[on]))
    vig = 1-U(0, .12)*(np.hypot(uu-W/2, vv-H/2)/np.hypot(W/2, H/2))**2
    px = px*vig[..., None]
    well = U(12000, 40000)
    px = px+rng.normal(size=px.shape)*np.sqrt(np.maximum(px, 0)/well+(4/well)**2)
    px = np.clip(px, 0, 1); s = np.where(px <= .0031308, 12.92*px, 1.055*px**(1/2.4)-.055)
    from PIL import Image
    q = int(rng.integers(84, 95)); fn = f'p{i:03d}.jpg'
    Image.fromarray((s*255+.5).astype(np.uint8)).save(f'{OUT}/{fn}', quality=q, subsampling=int(rng.choice([0, 2])))
    p0, p1 = project((0, 0, 0)), project((1e-3, 0, 0))
    t = dict(file=fn, id=fn[:-4], set='own', hole=True, width=W, height=H, dx_mm=float(d[0]), dy_mm=float(d[1]), bore_diameter_mm=bore, chamfer_width_mm=w,
        nominal_chamfer_width_mm=nominal, chamfer_half_angle_deg=math.degrees(half), thickness_mm=T, px_per_mm=float(np.hypot(*(p1-p0))*1e3),
        plus_x_deg=math.degrees(math.atan2(-(p1-p0)[1], (p1-p0)[0])), tilt_deg=tilt, working_distance_mm=dist, lighting=light, backing=backing,
        psf_px=psf, jpeg_q=q, defects=defects, edge_round_um=round_mm*1000, edge_rough_um=rough_mm*1000, missing=float(gone.mean()*360),
        bore_axis_z0=[float(v) for v in p0], view=[float(v) for v in ((pos-Vector((0,0,0)))/pos.z)[:2]], rough=[ra, rb, rc])
    json.dump(t, open(f'{OUT}/p{i:03d}.json', 'w'))

for i in range(FROM, TO):
    if not os.path.exists(f'{OUT}/p{i:03d}.json'): shot(i)
