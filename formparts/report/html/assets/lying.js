// How the part lies in a step of the plan: the machine's axes (right, back, up) in the coordinates of the part.
"use strict";

const UPRIGHT = [[1, 0, 0], [0, 1, 0], [0, 0, 1]];
// Of each step, so much is the handling of the part before it is bent.
const HANDLING = 0.4;

function turnedAbout(v, axis, angle) {
  const c = Math.cos(angle), s = Math.sin(angle);
  return add(add(times(v, c), times(cross(axis, v), s)), times(axis, dot(axis, v) * (1 - c)));
}

// The axes of one step, with its bends bent by an angle: both sides of the line swing up by half of it.
function machineAxes(lies, frames, angle) {
  const flat = frames.flats[lies.flat];
  const up = times(flat.z, lies.up ? 1 : -1), back = direction(flat, lies.back[0], lies.back[1], 0);
  const axes = [cross(back, up), back, up];
  const about = cross(times(back, lies.side), up);
  return lies.swings ? axes.map((axis) => turnedAbout(axis, about, -angle / 2)) : axes;
}

function asQuaternion([x, y, z]) {
  const m = [x, y, z], trace = x[0] + y[1] + z[2];
  if (trace > 0) {
    const s = 2 * Math.sqrt(trace + 1);
    return [s / 4, (m[2][1] - m[1][2]) / s, (m[0][2] - m[2][0]) / s, (m[1][0] - m[0][1]) / s];
  }
  const i = m[1][1] > m[0][0] ? (m[2][2] > m[1][1] ? 2 : 1) : m[2][2] > m[0][0] ? 2 : 0, j = (i + 1) % 3, k = (i + 2) % 3;
  const s = 2 * Math.sqrt(Math.max(1e-12, 1 + m[i][i] - m[j][j] - m[k][k])), q = [0, 0, 0, 0];
  q[0] = (m[k][j] - m[j][k]) / s; q[1 + i] = s / 4; q[1 + j] = (m[j][i] + m[i][j]) / s; q[1 + k] = (m[k][i] + m[i][k]) / s;
  return q;
}

function asAxes([w, x, y, z]) {
  return [
    [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
    [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
    [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
  ];
}

// From one way of lying to another by the shortest turn.
function between(one, two, share) {
  const a = asQuaternion(one);
  let b = asQuaternion(two), same = a.reduce((sum, value, at) => sum + value * b[at], 0);
  if (same < 0) { b = b.map((value) => -value); same = -same; }
  const angle = Math.acos(Math.min(1, same));
  if (angle < 1e-6) return two;
  const parts = [Math.sin((1 - share) * angle), Math.sin(share * angle)].map((value) => value / Math.sin(angle));
  return asAxes(a.map((value, at) => parts[0] * value + parts[1] * b[at]));
}

// How far each bend is bent when so many steps are done, the last of them in part.
function bentAfter(model, done) {
  const bent = model.bends.map(() => 0);
  model.steps.forEach((step, at) => {
    const lies = model.lies[at], wait = lies ? HANDLING : 0;
    const share = Math.min(1, Math.max(0, (done - at - wait) / (1 - wait)));
    for (const bend of step) bent[bend] += ((lies ? lies.to : 1) - bent[bend]) * share;
  });
  return bent;
}

// The machine's axes when so many steps are done: first the part is turned as its step says, then bent.
function axesAfter(model, done) {
  const at = Math.min(model.lies.length - 1, Math.max(0, Math.ceil(done) - 1)), share = done - at;
  if (at < 0) return UPRIGHT;
  const seen = (n, value) => {
    const bent = bentAfter(model, value), first = model.steps[n][0];
    const angle = (bent[first] - bentAfter(model, n)[first]) * model.bends[first].angle;
    return machineAxes(model.lies[n], framesOf(model, bent), angle);
  };
  if (share >= HANDLING) return seen(at, done);
  const start = at === 0 ? seen(0, 0) : seen(at - 1, at);
  return between(start, seen(at, at), share / HANDLING);
}
