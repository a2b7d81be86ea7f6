// How parts fit a bed, found by other means than Scantling's: the smallest circle by
// smallest-enclosing-circle, the best turn about the vertical by trying very many.
import { createRequire } from "node:module";

const circleOf = createRequire(import.meta.url)("smallest-enclosing-circle");

// footprint is the convex outline of a part seen from above; up says which way that is.
export function footprint(positions, up) {
  const points = [];
  for (let i = 0; i < positions.length; i += 3) {
    points.push(up === "y" ? { x: positions[i], y: -positions[i + 2] } : { x: positions[i], y: positions[i + 1] });
  }
  points.sort((a, b) => a.x - b.x || a.y - b.y);
  const half = (from) => {
    const chain = [];
    for (const p of from) {
      while (chain.length > 1) {
        const [a, b] = chain.slice(-2);
        if ((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x) > 0) break;
        chain.pop();
      }
      chain.push(p);
    }
    chain.pop();
    return chain;
  };
  return [...half(points), ...half(points.reverse())];
}

// diameter is that of the smallest circle around an outline.
export function diameter(outline) {
  return 2 * circleOf(outline.map((p) => ({ ...p }))).r;
}

// need is how much larger than a plate of w by d an outline is, turned about the vertical as
// is best: every angle on a fine raster, and then around the best ones ever finer.
export function need(outline, w, d) {
  const at = (angle) => {
    const [s, c] = [Math.sin(angle), Math.cos(angle)];
    let [x0, x1, y0, y1] = [Infinity, -Infinity, Infinity, -Infinity];
    for (const p of outline) {
      const x = p.x * c - p.y * s;
      const y = p.x * s + p.y * c;
      x0 = Math.min(x0, x);
      x1 = Math.max(x1, x);
      y0 = Math.min(y0, y);
      y1 = Math.max(y1, y);
    }
    return Math.max((x1 - x0) / w, (y1 - y0) / d);
  };
  const steps = 4000;
  const first = Array.from({ length: steps }, (_, i) => {
    const angle = (i * Math.PI) / steps;
    return { angle, need: at(angle) };
  });
  let best = Infinity;
  for (const start of first.sort((a, b) => a.need - b.need).slice(0, 12)) {
    let { angle, need } = start;
    for (let step = Math.PI / steps; step > 1e-12; step /= 2) {
      for (const side of [-step, step]) {
        const other = at(angle + side);
        if (other < need) [angle, need] = [angle + side, other];
      }
    }
    best = Math.min(best, need);
  }
  return best;
}

// beyond is by how much a part in the pose that Scantling gave it goes beyond a room, and how
// far from the plate it begins, millimetres.
export function beyond(positions, factor, pose, room) {
  let most = 0;
  let low = Infinity;
  for (let i = 0; i < positions.length; i += 3) {
    const at = pose.turn.map((row, k) => factor * (row[0] * positions[i] + row[1] * positions[i + 1] + row[2] * positions[i + 2]) + pose.shift[k]);
    low = Math.min(low, at[2]);
    most = Math.max(most, Math.abs(at[0]) - room[0] / 2, Math.abs(at[1]) - room[1] / 2, at[2] - room[2]);
  }
  return { most, low };
}
