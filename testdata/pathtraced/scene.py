"""Path-traced macro photos of a chamfered bore with their exact truth.

    blender -b --factory-startup -P scene.py -- FOLDER FROM TO SEED [WIDTH] [SAMPLES] [TURNS] [worn]

draws photos FROM to TO-1 of a seed (Debian: blender, python3-numpy, python3-scipy, python3-pil)
and writes FOLDER/index.json, which evenrim bench --photos reads. With TURNS each hole is
photographed so many times, the part turned in even steps under a camera and light that stay.
"worn" adds burrs, chips, scratches, smears, a lens that distorts, an aperture, colour and EXIF turns.
It shares nothing with the program: meshes, a general-purpose renderer's light and reflection, and a sensor of its own.

Frame and signs: z up out of the face, bore axis through the origin, chamfer axis through
(dx, dy); lengths in mm, angles in radians, image angles counter-clockwise from image-right.
"""
import glob
import json
import math
import os
import sys

import bpy
import numpy as np
from mathutils import Matrix, Vector
from PIL import Image
from scipy.ndimage import gaussian_filter, map_coordinates

LIGHTS = ['ring', 'dome', 'side', 'two', 'window', 'coaxial']
BORES = [4.5, 5.5, 6.6, 9, 10.5, 12, 12.7, 16, 18, 20, 22, 25]
CHAMFERS = [.127, .15, .2, .25, .3, .4, .5, .6]
DIRECTIONS = 1440  # of the meshes round the bore: a chord is 0.03 um off a circle of 25 mm
LEAST_CHAMFER_PX = 5


def fillet(p, c, q, r, n=8):
    """Points of the arc of radius r that rounds the corner c between p and q, in a plane."""
    u, v = np.array(p)-c, np.array(q)-c
    lu, lv = np.hypot(*u), np.hypot(*v)
    u, v = u/lu, v/lv
    corner = math.acos(np.clip(u@v, -1, 1))
    t = min(r/math.tan(corner/2), .45*lu, .45*lv)
    r = t*math.tan(corner/2)
    mid = (u+v)/np.hypot(*(u+v))
    centre = c + mid*r/math.sin(corner/2)
    s, e = c+u*t-centre, c+v*t-centre
    a0, a1 = math.atan2(s[1], s[0]), math.atan2(e[1], e[0])
    turn = (a1-a0+math.pi) % (2*math.pi)-math.pi
    k = a0+turn*np.linspace(0, 1, n+1)
    return centre[None]+r*np.stack([np.cos(k), np.sin(k)], 1)


def waves(rng, th, lo, hi):
    """Noise of unit sd with lo to hi waves round the rim."""
    k = np.arange(lo, hi)
    amp, phase = rng.normal(size=len(k))/k**.7, rng.uniform(0, 2*np.pi, len(k))
    y = (amp[:, None]*np.cos(k[:, None]*th[None]+phase[:, None])).sum(0)
    return y/y.std()


def add(name, vertices, faces, material, smooth=False):
    mesh = bpy.data.meshes.new(name)
    mesh.from_pydata(vertices, [], faces)
    mesh.polygons.foreach_set('use_smooth', [smooth]*len(faces))
    mesh.update()
    o = bpy.data.objects.new(name, mesh)
    o.data.materials.append(material)
    bpy.context.collection.objects.link(o)


def ring(name, points, material, smooth):
    """A closed band of quads; points are directions x places along the profile x 3."""
    n, m, _ = points.shape
    i, j = np.meshgrid(np.arange(n), np.arange(m-1), indexing='ij')
    after = (i+1) % n
    faces = np.stack([i*m+j, after*m+j, after*m+j+1, i*m+j+1], -1).reshape(-1, 4)
    add(name, points.reshape(-1, 3).tolist(), faces.tolist(), material, smooth)


def annulus(name, centre, axis, r0, r1, material, n=64):
    to = Vector(axis).normalized().to_track_quat('Z', 'Y').to_matrix()
    t = np.linspace(0, 2*np.pi, n, endpoint=False)
    points = np.array([[Vector(centre)+to@Vector((r*math.cos(x), r*math.sin(x), 0)) for r in (r0, r1)] for x in t])
    ring(name, points, material, False)


def shader(name):
    m = bpy.data.materials.new(name)
    m.use_nodes = True
    m.node_tree.nodes.clear()
    return m, m.node_tree.nodes.new, m.node_tree.links.new, m.node_tree.nodes.new('ShaderNodeOutputMaterial')


def scratched(node, link, place, height, line, unit):
    """The height with a groove along a straight line: (direction across, distance, width, depth)."""
    across, far, wide, deep = line
    dot, off, away, groove, less = node('ShaderNodeVectorMath'), node('ShaderNodeMath'), node('ShaderNodeMath'), node('ShaderNodeMapRange'), node('ShaderNodeMath')
    dot.operation, off.operation, away.operation, less.operation = 'DOT_PRODUCT', 'SUBTRACT', 'ABSOLUTE', 'SUBTRACT'
    link(place.outputs['Object'], dot.inputs[0])
    dot.inputs[1].default_value = (math.cos(across), math.sin(across), 0)
    link(dot.outputs['Value'], off.inputs[0])
    off.inputs[1].default_value = far
    link(off.outputs[0], away.inputs[0])
    link(away.outputs[0], groove.inputs['Value'])
    groove.inputs['From Min'].default_value, groove.inputs['From Max'].default_value = 0, wide/2
    groove.inputs['To Min'].default_value, groove.inputs['To Max'].default_value = deep/unit, 0
    link(height, less.inputs[0])
    link(groove.outputs[0], less.inputs[1])
    return less.outputs[0]


def smeared(node, link, place, colour, smear, roughness, rough):
    """The colour under a film of oil, darker and duller, with a ragged border."""
    to, ragged, far, both, film, dim, dull = node('ShaderNodeMapping'), node('ShaderNodeTexNoise'), node('ShaderNodeVectorMath'), node('ShaderNodeMath'), node('ShaderNodeMapRange'), node('ShaderNodeVectorMath'), node('ShaderNodeMapRange')
    to.vector_type = 'TEXTURE'
    to.inputs['Location'].default_value = smear['at']+(0,)
    to.inputs['Rotation'].default_value = (0, 0, smear['turn'])
    to.inputs['Scale'].default_value = smear['axes']+(1e3,)
    link(place.outputs['Object'], to.inputs[0])
    far.operation, dim.operation = 'LENGTH', 'MULTIPLY'
    link(to.outputs[0], far.inputs[0])
    ragged.inputs['Scale'].default_value = 1.5
    link(far.outputs['Value'], both.inputs[0])
    link(ragged.outputs['Fac'], both.inputs[1])
    link(both.outputs[0], film.inputs['Value'])
    film.inputs['From Min'].default_value, film.inputs['From Max'].default_value = 1.3, 1.6
    film.inputs['To Min'].default_value, film.inputs['To Max'].default_value = smear['dim'], 1
    link(colour, dim.inputs[0])
    link(film.outputs[0], dim.inputs[1])
    dull.inputs['From Min'].default_value, dull.inputs['From Max'].default_value = smear['dim'], 1
    dull.inputs['To Min'].default_value, dull.inputs['To Max'].default_value = rough*smear['dull'], rough
    link(film.outputs[0], dull.inputs['Value'])
    link(dull.outputs[0], roughness)
    return dim.outputs[0]


def metal(name, albedo, rough, marks, scratches=(), smear=None):
    """Machined metal: a rough mirror with tool marks and grain as bumps, and some diffuse light; scratched and smeared."""
    m, node, link, out = shader(name)
    mirror, matt, mix = node('ShaderNodeBsdfGlossy'), node('ShaderNodeBsdfDiffuse'), node('ShaderNodeMixShader')
    mirror.distribution = 'GGX'
    mirror.inputs['Roughness'].default_value = rough
    place, at = node('ShaderNodeTexCoord'), node('ShaderNodeMapping')
    link(place.outputs['Object'], at.inputs[0])
    at.inputs['Location'].default_value = marks.get('at', (0, 0, 0))
    wave, grain = node('ShaderNodeTexWave'), node('ShaderNodeTexNoise')
    wave.wave_type = marks['type']
    if marks['type'] == 'RINGS':
        wave.rings_direction = 'Z'
    else:
        wave.bands_direction = 'Z'
    wave.inputs['Scale'].default_value = math.pi/10/marks['period']
    wave.inputs['Distortion'].default_value, wave.inputs['Detail'].default_value = .6, 3
    wave.inputs['Detail Scale'].default_value = 2
    grain.inputs['Scale'].default_value, grain.inputs['Detail'].default_value = marks['grain'], 6
    link(at.outputs[0], wave.inputs['Vector'])
    link(at.outputs[0], grain.inputs['Vector'])
    height, bump, shade = node('ShaderNodeMath'), node('ShaderNodeBump'), node('ShaderNodeMapRange')
    height.operation = 'MULTIPLY_ADD'
    height.inputs[1].default_value = marks['noise']
    link(grain.outputs['Fac'], height.inputs[0])
    link(wave.outputs['Fac'], height.inputs[2])
    bump.inputs['Distance'].default_value, bump.inputs['Strength'].default_value = marks['height'], 1
    top = height.outputs[0]
    for line in scratches:
        top = scratched(node, link, place, top, line, marks['height'])
    link(top, bump.inputs['Height'])
    shade.inputs['To Min'].default_value, shade.inputs['To Max'].default_value = albedo*.85, albedo
    link(grain.outputs['Fac'], shade.inputs['Value'])
    colour = shade.outputs[0]
    if smear:
        colour = smeared(node, link, place, colour, smear, mirror.inputs['Roughness'], rough)
    mix.inputs[0].default_value = marks['diffuse']
    for k, s in enumerate((mirror, matt)):
        link(colour, s.inputs['Color'])
        link(bump.outputs[0], s.inputs['Normal'])
        link(s.outputs[0], mix.inputs[1+k])
    link(mix.outputs[0], out.inputs['Surface'])
    return m


def even(name, kind, field, value):
    m, node, link, out = shader(name)
    s = node(kind)
    s.inputs[field].default_value = value
    link(s.outputs[0], out.inputs['Surface'])
    return m


def matt(name, albedo):
    return even(name, 'ShaderNodeBsdfDiffuse', 'Color', (albedo,)*3+(1,))


def glow(name, power):
    return even(name, 'ShaderNodeEmission', 'Strength', power)


def lamp(name, at, size, power):
    l = bpy.data.lights.new(name, 'AREA')
    l.shape, l.energy = 'RECTANGLE', power
    l.size, l.size_y = size
    o = bpy.data.objects.new(name, l)
    o.location = at
    o.rotation_euler = (-Vector(at)).to_track_quat('-Z', 'Y').to_euler()
    bpy.context.collection.objects.link(o)


class Unworn:
    """A part as it should be, and a plain camera."""
    lip = hang = np.zeros(DIRECTIONS)
    chip, defects, scratches, smear = 0., (), (), None

    def camera(self):
        """Lens distortion at the corner, gains of the colours, aperture in mm, EXIF orientation."""
        return 0., None, 0., 1


class Wear(Unworn):
    """What happens to parts: burrs up from the face and into the bore, chips, scratches, smears."""

    def __init__(self, rng, th, radius, w, depth, chamfer):
        self.rng, self.th, self.defects = rng, th, []
        if rng.uniform() < .4:
            self.lip = self.arc('burr', 'outer', 5, 40, 20, 80)
        if rng.uniform() < .25:
            self.hang = self.arc('burr', 'bore', 4, 30, 15, 60)
        if rng.uniform() < .25:
            self.chip = np.where(depth > .02, np.minimum(self.arc('chip', 'bore', 3, 20, 15, 60), .45*chamfer), 0)
        # Through the face and the chamfer, near the rim or right across the hole.
        self.scratches = [(rng.uniform(0, 2*np.pi), rng.uniform(-1.3, 1.3)*(radius+w), rng.uniform(.01, .05), rng.uniform(.002, .01))
                          for _ in range(rng.integers(0, 4))]
        if self.scratches:
            self.defects.append(dict(kind='scratch', count=len(self.scratches)))
        if rng.uniform() < .4:
            way = rng.uniform(0, 2*np.pi)
            self.smear = dict(at=(radius*math.cos(way), radius*math.sin(way)), turn=rng.uniform(0, np.pi), axes=(rng.uniform(.5, 1.2)*radius, rng.uniform(.3, .8)*radius), dim=rng.uniform(.35, .8), dull=rng.uniform(1, 2))
            self.defects.append(dict(kind='smear', centre_deg=math.degrees(way)))

    def arc(self, kind, rim, least_deg, most_deg, least_um, most_um):
        """Ragged heights over a stretch of a rim, mm."""
        rng = self.rng
        at, wide, size = rng.uniform(0, 2*np.pi), math.radians(rng.uniform(least_deg, most_deg)), rng.uniform(least_um, most_um)/1000
        k = np.abs((self.th-at+np.pi) % (2*np.pi)-np.pi)/(wide/2)
        self.defects.append(dict(kind=kind, rim=rim, centre_deg=math.degrees(at), width_deg=math.degrees(wide), size_um=size*1000))
        return np.where(k < 1, size*np.cos(k*np.pi/2)**2*np.maximum(1+.4*waves(rng, self.th, 30, 300), .1), 0)

    def camera(self):
        rng = self.rng
        k1 = rng.uniform(-.015, .015) if rng.uniform() < .3 else 0.
        cast = [float(k) for k in rng.uniform(.7, 1.1, 3)] if rng.uniform() < .3 else None
        aperture = rng.uniform(.5, 3) if rng.uniform() < .3 else 0.
        return k1, cast, aperture, int(rng.choice([1, 1, 1, 3, 6, 8]))


def shot(folder, i, seed, width, samples, turns, worn):
    hole, nth = divmod(i, turns)
    rng = np.random.default_rng([seed, hole])
    u = rng.uniform
    high = width*3//4
    light = LIGHTS[hole % 6]
    # The same hole once more: all is drawn alike but for the part's turn and the sensor's noise.
    again = np.random.default_rng([seed, hole, nth])
    turn = 2*math.pi*nth/turns+again.uniform(-.03, .03) if nth else 0.
    bpy.ops.wm.read_factory_settings(use_empty=True)
    scene = bpy.context.scene

    # The part.
    def sizes(most):
        bore, nominal = float(rng.choice(BORES)), float(rng.choice(CHAMFERS))
        return bore, nominal, u(.45, most)*high/(2*(bore/2+nominal))
    bore, nominal, ppm = sizes(.72)
    while nominal*ppm < LEAST_CHAMFER_PX or nominal > .1*bore:
        nominal, bore = float(rng.choice(CHAMFERS)), float(rng.choice(BORES))
        ppm = u(.45, .75)*high/(2*(bore/2+nominal))
    radius = bore/2
    w = nominal*u(.94, 1.06)
    half = math.radians(float(rng.choice([45, 45, 45, 45, 41, 60]))) if u() < .9 else math.radians(45)
    thick = u(max(5, .6*bore), max(14, .7*bore))
    size = float(rng.choice([.25, .6, 1, 1.3], p=[.4, .35, .15, .1]))*w*math.sqrt(u(.1, 1))
    way = u(0, 2*np.pi)
    d = np.array([size*math.cos(way), size*math.sin(way)])
    # The camera.
    dist = u(85, 240)
    tilt = abs(rng.normal(0, 2.5)) if u() < .8 else u(3, 8)
    tilt = min(tilt, 8)
    way = u(0, 2*np.pi)
    tx, ty = math.radians(tilt*math.cos(way)), math.radians(tilt*math.sin(way))
    roll = u(-math.pi, math.pi) if u() < .6 else u(-.08, .08)
    rounding, rough = float(rng.choice([0, 4, 8, 12, 16, 20]))/1000, u(.5, 3)/1000
    backing = str(rng.choice(['dark', 'grey', 'paper']))

    # The rims in each direction from the bore's axis, and the profile through them.
    th = np.linspace(0, 2*np.pi, DIRECTIONS, endpoint=False)
    e = np.stack([np.cos(th), np.sin(th)], 1)
    along = e@d
    outer = along+np.sqrt(np.maximum((radius+w)**2-(d@d-along*along), 0))
    rough_outer, rough_bore = rough*waves(rng, th, 12, 200), rough*waves(rng, th, 12, 200)
    defects, gouge = [], np.zeros(DIRECTIONS)
    if u() < .25:
        at, wide, deep = u(0, 2*np.pi), math.radians(u(4, 30)), u(20, 70)/1000
        k = np.abs((th-at+np.pi) % (2*np.pi)-np.pi)/(wide/2)
        gouge = np.where(k < 1, deep*np.cos(k*np.pi/2)**2*(1+.3*waves(rng, th, 30, 300)), 0)
        defects.append(dict(kind='gouge', centre_deg=math.degrees(at), width_deg=math.degrees(wide), size_um=deep*1000))
    inner = radius+rough_bore
    depth = (radius+w-np.hypot(*(e*radius-d).T))/math.tan(half)
    vanished = depth <= 0
    outer = np.where(vanished, inner, np.maximum(outer+rough_outer, inner+1e-4))+gouge
    depth = np.maximum(depth, 0)
    far = 4*radius+12
    wear = Wear(np.random.default_rng([seed, hole, 7]), th, radius, w, depth, outer-inner) if worn else Unworn()
    inner = inner+wear.chip
    outer = np.maximum(outer, inner)
    defects += wear.defects
    profiles = []
    for k in range(DIRECTIONS):
        face, exit_, under = np.array([far, 0.]), np.array([radius, -thick]), np.array([far, -thick])
        a, b = np.array([outer[k], 0.]), np.array([inner[k], -depth[k]])
        r = max(rounding, 1e-4)
        if vanished[k] and gouge[k] == 0:
            f = fillet(face, np.array([inner[k], 0.]), exit_, r, 16)
            f1, f2 = f[:9], f[8:]
        else:
            f1, f2 = fillet(face, a, b, r), fillet(a, b, exit_, r)
        if wear.lip[k] > 0 or wear.hang[k] > 0:
            # A burr is the rounded edge drawn out: up from the face, or down into the bore.
            n = np.sin(np.linspace(0, np.pi, len(f1)))[:, None]
            f1 = f1+n*np.array([.3*wear.lip[k], wear.lip[k]])
            n = np.sin(np.linspace(0, np.pi, len(f2)))[:, None]
            f2 = f2+n*np.array([-wear.hang[k], -.3*wear.hang[k]])
        profiles.append((face, f1, f2, fillet(b, exit_, under, max(rounding, .01), 4), under))

    def sweep(name, material, smooth, part):
        p = np.array([part(*x) for x in profiles])
        ring(name, np.concatenate([p[..., :1]*e[:, None, :], p[..., 1:]], -1), material, smooth)

    rough_face, rough_chamfer, rough_wall = u(.15, .4), u(.12, .4), u(.15, .4)
    albedo = u(.5, .92)
    face = metal('face', albedo, rough_face, dict(type='RINGS', at=(u(-40, 40)+15, u(-40, 40), 0), period=u(.05, .4), height=u(.0005, .004)*u(.2, 1.5), noise=u(.2, 1), grain=u(3, 40), diffuse=u(.02, .3)), wear.scratches, wear.smear)
    chamfer = metal('chamfer', albedo, rough_chamfer, dict(type='RINGS', at=(-d[0], -d[1], 0), period=u(.02, .1), height=u(.0002, .0012), noise=u(.2, 1), grain=u(5, 40), diffuse=u(.02, .3)), wear.scratches, wear.smear)
    wall = metal('wall', albedo*u(.6, 1), rough_wall, dict(type='BANDS', period=u(.05, .3), height=u(.0003, .003), noise=u(.2, 1), grain=u(3, 20), diffuse=u(.02, .3)))
    sweep('face', face, False, lambda face, f1, f2, f3, under: [face, [f1[0][0]+.5, 0], f1[0]])
    sweep('outer edge', chamfer if u() < .5 else face, True, lambda face, f1, f2, f3, under: f1)
    sweep('chamfer', chamfer, False, lambda face, f1, f2, f3, under: [f1[-1], f2[0]])
    sweep('bore edge', chamfer, True, lambda face, f1, f2, f3, under: f2)
    sweep('wall', wall, True, lambda face, f1, f2, f3, under: [f2[-1], f2[-1]*.75+f3[0]*.25, f3[0]])
    sweep('exit rim', wall, True, lambda face, f1, f2, f3, under: f3)
    sweep('under', face, False, lambda face, f1, f2, f3, under: [f3[-1], under])
    gap = {'dark': 12, 'grey': u(0, 2), 'paper': u(0, .6)}[backing]
    z = -thick-.02-gap
    shade = {'dark': .02, 'grey': u(.15, .4), 'paper': .85}[backing]
    add('backing', [(-300, -300, z), (300, -300, z), (300, 300, z), (-300, 300, z)], [(0, 1, 2, 3)], matt('backing', shade))
    if u() < .25:
        dust = matt('dust', u(.02, .3))
        for _ in range(rng.integers(3, 14)):
            at, way, s = radius+u(-.1, 2.5), u(0, 2*np.pi), u(.02, .12)
            if at < radius+w:
                at = radius+w+s
            bpy.ops.mesh.primitive_ico_sphere_add(subdivisions=1, radius=s, location=(at*math.cos(way), at*math.sin(way), s*.3))
            bpy.context.object.data.materials.append(dust)
        defects.append(dict(kind='dust', centre_deg=None, width_deg=None))

    # The camera, and where it sees a point.
    z = Vector((math.tan(tx), math.tan(ty), 1)).normalized()
    x = Vector((1, 0, 0))
    x = (x-z*x.dot(z)).normalized()
    y = z.cross(x)
    x, y = x*math.cos(roll)+y*math.sin(roll), -x*math.sin(roll)+y*math.cos(roll)
    turned = Matrix.Rotation(-turn, 3, 'Z')  # of camera and light, seen from the part
    x, y, z = turned@x, turned@y, turned@z
    off = .15*width/ppm if u() < .3 else .04*width/ppm
    way, o = u(0, 2*np.pi), off*math.sqrt(u())
    centre = turned@Vector((o*math.cos(way), o*math.sin(way)*.7, 0))
    pos = centre+z*dist
    camera = bpy.data.objects.new('camera', bpy.data.cameras.new('camera'))
    bpy.context.collection.objects.link(camera)
    camera.matrix_world = Matrix([[x[k], y[k], z[k], pos[k]] for k in range(3)]+[[0, 0, 0, 1]])
    scene.camera = camera
    focal_px = ppm*dist
    camera.data.sensor_fit, camera.data.sensor_width, camera.data.lens = 'HORIZONTAL', 36, focal_px*36/width
    camera.data.clip_start, camera.data.clip_end = 1, 2000

    k1, cast, aperture, upright = wear.camera()
    if aperture:
        dof = camera.data.dof
        dof.use_dof, dof.focus_distance = True, dist
        dof.aperture_fstop = camera.data.lens*1e-3/aperture
    middle, reach = np.array([width/2-.5, high/2-.5]), math.hypot(width, high)/2

    def project(p):
        v = Vector(p)-pos
        at = np.array([focal_px*v.dot(x)/-v.dot(z), -focal_px*v.dot(y)/-v.dot(z)])
        return middle+at*(1+k1*(at@at)/reach**2)

    # Light.
    scene.world = bpy.data.worlds.new('world')
    scene.world.use_nodes = True
    ambient = u(.06, .3)
    azimuth = u(0, 2*np.pi)-turn

    def from_(azimuth, elevation, far):
        return (far*math.cos(elevation)*math.cos(azimuth), far*math.cos(elevation)*math.sin(azimuth), far*math.sin(elevation))
    if light == 'ring':
        h = dist*u(.35, .9)
        r0 = u(14, 40)
        annulus('ring', centre+z*h, z, r0, r0+u(4, 14), glow('glow', 12))
    elif light == 'dome':
        ambient = 1
        annulus('lens', centre+z*(dist+2), z, .01, u(8, 25), matt('black', .01))
    elif light == 'side':
        s = u(15, 80)
        lamp('lamp', from_(azimuth, math.radians(u(18, 50)), 120), (s, s), 9e4)
    elif light == 'two':
        s = u(15, 60)
        elevation = math.radians(u(20, 55))
        share = u(.6, 1.4)
        lamp('lamp', from_(azimuth, elevation, 120), (s, s), 9e4)
        lamp('other lamp', from_(azimuth+math.pi+u(-.15, .15), elevation+u(-.1, .1), 120), (s, s), 9e4*share)
    elif light == 'window':
        lamp('window', from_(azimuth, math.radians(u(35, 65)), 500), (u(200, 500), u(200, 400)), 4e6)
        ambient = u(.1, .5)
    else:
        annulus('round the lens', pos+z*3, z, .01, u(12, 45), glow('glow', 20))
    scene.world.node_tree.nodes['Background'].inputs[1].default_value = ambient

    # The picture: one processor, so that several can run side by side.
    r, c = scene.render, scene.cycles
    r.engine, r.threads_mode, r.threads = 'CYCLES', 'FIXED', 1
    r.resolution_x, r.resolution_y, r.resolution_percentage = width, high, 100
    c.samples, c.seed, c.use_adaptive_sampling, c.use_denoising = samples, i+1, False, False
    c.max_bounces, c.glossy_bounces, c.diffuse_bounces = 6, 6, 3
    c.caustics_reflective, c.blur_glossy, c.sample_clamp_indirect = False, .3, 4
    c.pixel_filter_type, c.filter_width = 'BOX', 1
    psf = u(.7, 1.7)
    r.image_settings.file_format, r.image_settings.color_depth = 'OPEN_EXR', '32'
    name = f'{folder}/p{i:03d}'
    r.filepath = name+'.exr'
    bpy.ops.render.render(write_still=True)
    image = bpy.data.images.load(name+'.exr')
    px = np.array(image.pixels[:], np.float32).reshape(high, width, image.channels)[::-1, :, :3]
    os.remove(name+'.exr')

    # Lens and sensor: blur, exposure for the face, fall-off, noise, tone curve, JPEG.
    px = np.stack([gaussian_filter(px[..., k], math.sqrt(psf**2-1/12)) for k in range(3)], -1)
    v, h = np.mgrid[0:high, 0:width]
    if k1:
        # The picture's light at a pixel comes from where the lens would have put it without distortion.
        q = np.stack([v-middle[1], h-middle[0]])
        r2 = (q**2).sum(0)/reach**2
        free = r2
        for _ in range(8):
            free = r2/(1+k1*free)**2
        q = q/(1+k1*free)
        px = np.stack([map_coordinates(px[..., k], [q[0]+middle[1], q[1]+middle[0]], order=3, mode='nearest') for k in range(3)], -1)
    at = project((0, 0, 0))
    far = np.hypot(h-at[0], v-at[1])/ppm
    on_face = (far > (radius+w)*1.1) & (far < (radius+w)*1.4)
    px = px*(u(.16, .34)/np.median(px.mean(-1)[on_face]))
    px = px*(1-u(0, .12)*(np.hypot(h-width/2, v-high/2)/np.hypot(width/2, high/2))**2)[..., None]
    well = u(12000, 40000)
    grain = rng.normal(size=px.shape)
    if nth:
        grain = again.normal(size=px.shape)
    if cast:
        px = px*np.array(cast)
    px = np.clip(px+grain*np.sqrt(np.maximum(px, 0)/well+(4/well)**2), 0, 1)
    px = np.where(px <= .0031308, 12.92*px, 1.055*px**(1/2.4)-.055)
    quality = int(rng.integers(84, 95))
    subsampling = int(rng.choice([0, 2]))
    picture, how = Image.fromarray((px*255+.5).astype(np.uint8)), {}
    if upright != 1:
        # Stored lying, with the tag that says how to hold it.
        picture = picture.transpose({3: Image.Transpose.ROTATE_180, 6: Image.Transpose.ROTATE_90, 8: Image.Transpose.ROTATE_270}[upright])
        how['exif'] = Image.Exif()
        how['exif'][0x0112] = upright
    picture.save(name+'.jpg', quality=quality, subsampling=subsampling, **how)
    step = (project((1e-3, 0, 0))-at)*1e3
    truth = dict(file=f'p{i:03d}.jpg', hole=True, width=width, height=high, dx_mm=float(d[0]), dy_mm=float(d[1]),
                 bore_diameter_mm=bore, chamfer_width_mm=w, nominal_chamfer_width_mm=nominal,
                 chamfer_half_angle_deg=math.degrees(half), thickness_mm=thick, px_per_mm=float(np.hypot(*step)),
                 plus_x_deg=math.degrees(math.atan2(-step[1], step[0])), tilt_deg=tilt, working_distance_mm=dist,
                 lighting=light, backing=backing, psf_px=psf, jpeg_q=quality, defects=defects,
                 edge_round_um=rounding*1000, edge_rough_um=rough*1000, missing_chamfer_arc_deg=float(vanished.mean()*360),
                 bore_axis_z0=[float(k) for k in at])
    if worn:
        truth.update(k1=k1, colour_cast=cast, aperture_mm=aperture, exif_orientation=upright)
    if turns > 1:
        truth.update(series=f'hole-{hole}', turn_deg=math.degrees(turn))
    with open(name+'.json', 'w') as f:
        json.dump(truth, f)


def main():
    a = sys.argv[sys.argv.index('--')+1:]
    folder, first, end, seed = a[0], int(a[1]), int(a[2]), int(a[3])
    width, samples = int(a[4]) if len(a) > 4 else 1024, int(a[5]) if len(a) > 5 else 20
    turns = int(a[6]) if len(a) > 6 else 1
    worn = a[7:] == ['worn']
    os.makedirs(folder, exist_ok=True)
    for i in range(first, end):
        if not os.path.exists(f'{folder}/p{i:03d}.json'):
            shot(folder, i, seed, width, samples, turns, worn)
    photos = [json.load(open(f)) for f in sorted(glob.glob(folder+'/p*.json'))]
    with open(folder+'/index.json', 'w') as f:
        json.dump(dict(count=len(photos), photos=photos), f)


main()
