// Folding: from the model and how far each bend is bent (0 flat, 1 folded) to corners, normals and lines in space.
// A bend keeps the length of its neutral fibre: its middle grows evenly from the allowance to its folded length.
"use strict";

const add = (a, b) => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
const times = (a, s) => [a[0] * s, a[1] * s, a[2] * s];
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const minus = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];

function direction(frame, x, y, z) {
  return add(add(times(frame.x, x), times(frame.y, y)), times(frame.z, z));
}

function place(frame, x, y, z) {
  return add(frame.o, direction(frame, x, y, z));
}

function movedInPlane(frame, motion) {
  const [a, b, c, d, p, q] = motion;
  return squareFrame(place(frame, p, q, 0), direction(frame, a, c, 0), times(frame.z, a * d - b * c < 0 ? -1 : 1));
}

// Axes at right angles and of length one, next to nearly such ones: what rounding adds at a bend is gone at the next.
function squareFrame(o, x, nearZ) {
  const z = ofLengthOne(nearZ), squared = ofLengthOne(minus(x, times(z, dot(x, z))));
  return { o, x: squared, y: cross(z, squared), z };
}

function ofLengthOne(a) {
  return times(a, 1.5 - 0.5 * dot(a, a));
}

// The frame of a bend's middle at a part of its length: x along the bend line, -y onwards, z out of the upper face.
function frameInBend(bend, line, fraction, part) {
  const middle = bend.flat + fraction * (bend.folded - bend.flat);
  const turn = fraction * bend.angle * part, side = bend.up ? 1 : -1, whole = fraction * bend.angle;
  const radius = whole > 1e-9 ? middle / whole : 0;
  const back = whole > 1e-9 ? radius * Math.sin(turn) : middle * part;
  const rise = whole > 1e-9 ? side * radius * (1 - Math.cos(turn)) : 0;
  const cos = Math.cos(turn), sin = side * Math.sin(turn);
  return { o: place(line, 0, -back, rise), x: line.x, y: direction(line, 0, cos, -sin), z: direction(line, 0, sin, cos) };
}

// Frames of all flats, and of the line that each bend starts from.
function framesOf(model, fractions) {
  const [o, x, y, z] = model.frame;
  const flats = [{ o, x, y, z }], lines = [];
  model.bends.forEach((bend, at) => {
    const line = movedInPlane(flats[bend.parent], bend.line);
    lines.push(line);
    flats[bend.child] = movedInPlane(frameInBend(bend, line, fractions[at], 1), bend.onwards);
  });
  return { flats, lines };
}

// Everything to be drawn: triangles with normals and the number of their piece, and lines.
function folded(model, fractions) {
  const out = { places: [], normals: [], pieces: [], lines: [], soft: [] };
  const frames = framesOf(model, fractions), half = model.thickness / 2;
  model.flats.forEach((flat, at) => flatSkin(out, flat, frames.flats[at], half, at));
  model.bends.forEach((bend, at) => bendSkin(out, bend, frames.lines[at], fractions[at], half, model.flats.length + at));
  out.frames = frames;
  return out;
}

function corner(out, spot, normal, piece) {
  out.places.push(spot[0], spot[1], spot[2]);
  out.normals.push(normal[0], normal[1], normal[2]);
  out.pieces.push(piece);
}

function flatSkin(out, flat, frame, half, piece) {
  const { points, triangles } = flat, below = times(frame.z, -1);
  for (let i = 0; i < triangles.length; i += 3) {
    for (const at of [0, 1, 2]) {
      const n = triangles[i + at];
      corner(out, place(frame, points[2 * n], points[2 * n + 1], half), frame.z, piece);
    }
    for (const at of [0, 2, 1]) {
      const n = triangles[i + at];
      corner(out, place(frame, points[2 * n], points[2 * n + 1], -half), below, piece);
    }
  }
  for (const wall of flat.walls) flatWall(out, wall, frame, half, piece);
}

function flatWall(out, wall, frame, half, piece) {
  const [x0, y0, x1, y1, nx0, ny0, nx1, ny1, isCorner] = wall;
  const n0 = direction(frame, nx0, ny0, 0), n1 = direction(frame, nx1, ny1, 0);
  const low0 = place(frame, x0, y0, -half), low1 = place(frame, x1, y1, -half);
  const high0 = place(frame, x0, y0, half), high1 = place(frame, x1, y1, half);
  square(out, low0, low1, high1, high0, n0, n1, n1, n0, piece);
  out.lines.push(...low0, ...low1, ...high0, ...high1);
  if (isCorner) out.soft.push(...low0, ...high0);
}

function square(out, a, b, c, d, na, nb, nc, nd, piece) {
  corner(out, a, na, piece); corner(out, b, nb, piece); corner(out, c, nc, piece);
  corner(out, a, na, piece); corner(out, c, nc, piece); corner(out, d, nd, piece);
}

// What openings have left of a bend: its triangles, and an edge face along every rim.
function cutBendSkin(out, bend, strip, line, fraction, half, piece) {
  const { points, triangles, rims } = strip, at = (n) => frameInBend(bend, line, fraction, points[2 * n + 1]);
  const spot = (n, z) => place(at(n), points[2 * n], 0, z);
  for (let i = 0; i < triangles.length; i += 3) {
    for (const k of [0, 1, 2]) corner(out, spot(triangles[i + k], half), at(triangles[i + k]).z, piece);
    for (const k of [0, 2, 1]) corner(out, spot(triangles[i + k], -half), times(at(triangles[i + k]).z, -1), piece);
  }
  for (const rim of rims) {
    for (let i = 0; i + 1 < rim.length; i++) {
      const [m, n] = [rim[i], rim[i + 1]], way = minus(spot(n, 0), spot(m, 0));
      const side = cross(way, at(m).z), normal = times(side, 1 / Math.sqrt(dot(side, side)));
      square(out, spot(m, -half), spot(n, -half), spot(n, half), spot(m, half), normal, normal, normal, normal, piece);
      for (const z of [half, -half]) out.lines.push(...spot(m, z), ...spot(n, z));
    }
  }
}

function bendSkin(out, bend, line, fraction, half, piece) {
  if (bend.cut.length) {
    for (const strip of bend.cut) cutBendSkin(out, bend, strip, line, fraction, half, piece);
    return;
  }
  const count = Math.max(1, Math.ceil(bend.angle / 0.1)), w = bend.width;
  for (let step = 0; step < count; step++) {
    const f = frameInBend(bend, line, fraction, step / count), g = frameInBend(bend, line, fraction, (step + 1) / count);
    const at = (frame, x, z) => place(frame, x, 0, z);
    const fBelow = times(f.z, -1), gBelow = times(g.z, -1), back = times(line.x, -1);
    square(out, at(f, 0, half), at(g, 0, half), at(g, w, half), at(f, w, half), f.z, g.z, g.z, f.z, piece);
    square(out, at(f, 0, -half), at(f, w, -half), at(g, w, -half), at(g, 0, -half), fBelow, fBelow, gBelow, gBelow, piece);
    square(out, at(f, 0, -half), at(g, 0, -half), at(g, 0, half), at(f, 0, half), back, back, back, back, piece);
    square(out, at(f, w, -half), at(f, w, half), at(g, w, half), at(g, w, -half), line.x, line.x, line.x, line.x, piece);
    for (const x of [0, w]) for (const z of [half, -half]) out.lines.push(...at(f, x, z), ...at(g, x, z));
    if (step === 0) for (const z of [half, -half]) out.soft.push(...at(f, 0, z), ...at(f, w, z));
    if (step === count - 1) for (const z of [half, -half]) out.soft.push(...at(g, 0, z), ...at(g, w, z));
  }
}

// How far along a ray a triangle is met, or nothing.
function meets(origin, towards, a, b, c) {
  const e = minus(b, a), f = minus(c, a), h = cross(towards, f), det = dot(e, h);
  if (Math.abs(det) < 1e-12) return null;
  const s = minus(origin, a), u = dot(s, h) / det, q = cross(s, e), v = dot(towards, q) / det;
  return u < 0 || v < 0 || u + v > 1 ? null : dot(f, q) / det;
}

// The name of the nearest piece or opening on a ray.
function pieceOnRay(model, skin, origin, towards) {
  let best = Infinity, name = null;
  const names = [...model.flats, ...model.bends].map((piece) => piece.name), p = skin.places;
  const spot = (i) => [p[i], p[i + 1], p[i + 2]];
  for (let i = 0; i < p.length; i += 9) {
    const far = meets(origin, towards, spot(i), spot(i + 3), spot(i + 6));
    if (far !== null && far < best) { best = far; name = names[skin.pieces[i / 3]]; }
  }
  model.flats.forEach((flat, at) => flat.openings.forEach((opening) => {
    const q = opening.points, on = (n) => place(skin.frames.flats[at], q[2 * n], q[2 * n + 1], 0);
    for (let i = 0; i < opening.triangles.length; i += 3) {
      const [a, b, c] = opening.triangles.slice(i, i + 3);
      const far = meets(origin, towards, on(a), on(b), on(c));
      if (far !== null && far < best) { best = far; name = opening.name; }
    }
  }));
  return name;
}

// The triangle nearest to a point, and where on it the point lies: the same triangle moves with its piece.
function nearest(skin, at) {
  const p = skin.places, spot = (i) => [p[i], p[i + 1], p[i + 2]];
  let best = { from: 0, u: 0, v: 0 }, least = Infinity;
  for (let i = 0; i < p.length; i += 9) {
    const a = spot(i), e = minus(spot(i + 3), a), f = minus(spot(i + 6), a), n = cross(e, f), area = dot(n, n);
    if (area < 1e-18) continue;
    const d = minus(at, a), u = Math.min(1, Math.max(0, dot(cross(d, f), n) / area));
    const v = Math.min(1 - u, Math.max(0, dot(cross(e, d), n) / area)), gap = minus(d, add(times(e, u), times(f, v)));
    if (dot(gap, gap) < least) { least = dot(gap, gap); best = { from: i, u, v }; }
  }
  return best;
}

function onTriangle(skin, { from, u, v }) {
  const spot = (i) => skin.places.slice(i, i + 3), a = spot(from);
  return add(a, add(times(minus(spot(from + 3), a), u), times(minus(spot(from + 6), a), v)));
}
