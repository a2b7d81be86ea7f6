// Sends the rays that Scantling wrote through three-mesh-bvh.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { BackSide, BufferAttribute, BufferGeometry, Ray, Vector3 } from "three";
import { MeshBVH } from "three-mesh-bvh";

function read(path, kind) {
  const b = readFileSync(path);
  return new kind(b.buffer.slice(b.byteOffset, b.byteOffset + b.length));
}

// cast gives, for a shape, how many rays meet something for one of us only, the largest
// relative difference of distances, and the nanoseconds that three-mesh-bvh took for all.
export function cast(folder, name) {
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(read(join(folder, `${name}.mesh`), Float32Array), 3));
  const bvh = new MeshBVH(geometry);
  const rays = read(join(folder, `${name}.rays`), Float64Array);
  const hits = read(join(folder, `${name}.hits`), Float64Array);
  const found = new Float64Array(hits.length);
  const ray = new Ray(new Vector3(), new Vector3());
  const all = () => {
    for (let i = 0; i < hits.length; i++) {
      ray.origin.fromArray(rays, 6 * i);
      ray.direction.fromArray(rays, 6 * i + 3);
      const hit = bvh.raycastFirst(ray, BackSide);
      found[i] = hit ? hit.distance : -1;
    }
  };
  all(); // warm
  const began = process.hrtime.bigint();
  all();
  const ns = Number(process.hrtime.bigint() - began);
  let differ = 0;
  let off = 0;
  let met = 0;
  for (let i = 0; i < hits.length; i++) {
    if (hits[i] < 0 !== found[i] < 0) differ++;
    else if (hits[i] >= 0) {
      met++;
      off = Math.max(off, Math.abs(hits[i] - found[i]) / Math.max(found[i], 1e-30));
    }
  }
  return { rays: hits.length, met, differ, off, ns };
}
