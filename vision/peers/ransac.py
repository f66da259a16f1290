# Reads chamfered holes with scikit-image: Canny edges, then an ellipse by RANSAC for
# each rim. One JSON object a line in, one a line out. Told: the photo's file, the radii
# to look for and about where the hole is.
import json, sys, warnings
import numpy as np
from skimage import io, color, feature, measure
warnings.simplefilter("ignore")

def rim(points, cx, cy, radius, tol, seed):
    rho = np.hypot(points[:, 0] - cx, points[:, 1] - cy)
    near = points[np.abs(rho - radius) < tol]
    if len(near) < 50:
        return None
    # Its distances to an ellipse take milliseconds a point: some hundred points do.
    near = near[::max(1, len(near) // 600)]
    model, inliers = measure.ransac(near, measure.EllipseModel, min_samples=8, residual_threshold=1.0,
                                    max_trials=150, random_state=seed)
    if model is None or inliers is None or inliers.sum() < 30:
        return None
    final = measure.EllipseModel()
    if not final.estimate(near[inliers]):
        return None
    return final.params[:2]

for line in sys.stdin:
    job = json.loads(line)
    out = {"ok": False}
    try:
        img = io.imread(job["file"])
        if img.ndim == 3:
            img = color.rgb2gray(img[:, :, :3])
        # The neighbourhood of the hole is enough.
        m = int(1.3 * job["outer"])
        x0, y0 = max(0, int(job["x"]) - m), max(0, int(job["y"]) - m)
        img = img[y0:y0 + 2 * m, x0:x0 + 2 * m]
        edges = feature.canny(img, sigma=2)
        points = np.argwhere(edges)[:, ::-1].astype(float)
        points += (x0, y0)
        tol = max(2.0, min(0.06 * job["bore"], 0.5 * (job["outer"] - job["bore"])))
        o = rim(points, job["x"], job["y"], job["outer"], tol, 1)
        b = rim(points, job["x"], job["y"], job["bore"], tol, 2)
        if o is not None and b is not None:
            out = {"ok": True, "ox": float(o[0]), "oy": float(o[1]), "bx": float(b[0]), "by": float(b[1])}
    except Exception as e:  # one photo's trouble must not end the others
        out = {"ok": False, "why": str(e)}
    print(json.dumps(out), flush=True)
