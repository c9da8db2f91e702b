// Showing: a parallel projection drawn by the browser's own 3D canvas. No library: what is needed of one is on this
// page, so the report stays small, works with no network, and has no version to be kept.
"use strict";

const VERTEX = `
attribute vec3 spot; attribute vec3 normal; attribute float piece;
uniform mat4 seen; uniform mat3 turned; uniform float nearer;
varying vec3 facing; varying float number;
void main() {
  gl_Position = seen * vec4(spot, 1.0);
  gl_Position.z -= nearer;
  facing = turned * normal; number = piece;
}`;

const FRAGMENT = `
precision mediump float;
varying vec3 facing; varying float number;
uniform vec3 colour; uniform vec3 mark; uniform float picked; uniform float lit;
void main() {
  // Pieces that are lit have their number raised.
  vec3 base = abs(mod(number, 100000.0) - picked) < 0.5 ? mark : number > 50000.0 ? mix(colour, mark, 0.6) : colour;
  vec3 n = normalize(facing);
  float light = 0.52 + 0.46 * max(0.0, dot(n, vec3(-0.49, 0.57, 0.66))) + 0.26 * max(0.0, dot(n, vec3(0.5, 0.0, 0.86)));
  gl_FragColor = vec4(base * mix(1.0, light, lit), 1.0);
}`;

function program(gl) {
  const made = gl.createProgram();
  for (const [kind, text] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader));
    gl.attachShader(made, shader);
  }
  gl.linkProgram(made);
  return made;
}

// Right, up and towards the viewer for a turn about z and a tilt [rad], of the part as it lies.
function axesOf(eye) {
  const [x, y, z] = eye.lies;
  return eyeAxes(eye).map((axis) => add(add(times(x, axis[0]), times(y, axis[1])), times(z, axis[2])));
}

function eyeAxes(eye) {
  const c = Math.cos(eye.turn), s = Math.sin(eye.turn), ct = Math.cos(eye.tilt), st = Math.sin(eye.tilt);
  return [[c, s, 0], [-s * st, c * st, ct], [s * ct, -c * ct, st]];
}

function makeView(canvas) {
  const gl = canvas.getContext("webgl", { antialias: true, preserveDrawingBuffer: true, alpha: true });
  if (!gl) return null;
  const use = program(gl);
  const name = {};
  for (const each of ["seen", "turned", "nearer", "colour", "mark", "picked", "lit"]) name[each] = gl.getUniformLocation(use, each);
  const slots = { spot: gl.getAttribLocation(use, "spot"), normal: gl.getAttribLocation(use, "normal"), piece: gl.getAttribLocation(use, "piece") };
  const buffers = { places: gl.createBuffer(), normals: gl.createBuffer(), pieces: gl.createBuffer(), lines: gl.createBuffer(), soft: gl.createBuffer() };
  return { canvas, gl, use, name, slots, buffers, counts: {} };
}

function load(view, skin, lit = new Set()) {
  const { gl, buffers, counts } = view, raised = lit.size ? skin.pieces.map((piece) => (lit.has(piece) ? piece + 100000 : piece)) : skin.pieces;
  for (const each of ["places", "normals", "pieces", "lines", "soft"]) {
    gl.bindBuffer(gl.ARRAY_BUFFER, buffers[each]);
    gl.bufferData(gl.ARRAY_BUFFER, new Float32Array(each === "pieces" ? raised : skin[each]), gl.DYNAMIC_DRAW);
    counts[each] = skin[each].length;
  }
}

// How many millimetres a picture point is, and the size of the canvas in points of the screen.
function fitted(view, eye) {
  const ratio = Math.min(window.devicePixelRatio || 1, 2), box = view.canvas.getBoundingClientRect();
  const width = Math.max(1, Math.round(box.width * ratio)), height = Math.max(1, Math.round(box.height * ratio));
  if (view.canvas.width !== width || view.canvas.height !== height) Object.assign(view.canvas, { width, height });
  return { width, height, reach: eye.reach / eye.zoom, ratio };
}

function draw(view, eye, paint) {
  const { gl, name, slots, buffers, counts } = view, size = fitted(view, eye);
  const axes = axesOf(eye), least = Math.min(size.width, size.height);
  const sx = least / size.width / size.reach, sy = least / size.height / size.reach, sz = -1 / (4 * eye.reach);
  const row = (axis, scale, shift) => [...times(axis, scale), -dot(axis, eye.middle) * scale + shift];
  const rows = [row(axes[0], sx, eye.pan[0]), row(axes[1], sy, eye.pan[1]), row(axes[2], sz, 0), [0, 0, 0, 1]];
  gl.viewport(0, 0, size.width, size.height);
  gl.clearColor(0, 0, 0, 0);
  gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
  gl.enable(gl.DEPTH_TEST);
  gl.useProgram(view.use);
  gl.uniformMatrix4fv(name.seen, false, [0, 1, 2, 3].flatMap((c) => rows.map((r) => r[c])));
  gl.uniformMatrix3fv(name.turned, false, [0, 1, 2].flatMap((c) => axes.map((a) => a[c])));
  gl.uniform3fv(name.mark, paint.mark);
  attach(gl, slots.spot, buffers.places, 3);
  attach(gl, slots.normal, buffers.normals, 3);
  attach(gl, slots.piece, buffers.pieces, 1);
  stroke(view, gl.TRIANGLES, counts.places / 3, paint.colour, paint.picked, 1, 0);
  gl.disableVertexAttribArray(slots.normal);
  gl.disableVertexAttribArray(slots.piece);
  gl.vertexAttrib3f(slots.normal, 0, 0, 1);
  gl.vertexAttrib1f(slots.piece, -1);
  attach(gl, slots.spot, buffers.soft, 3);
  stroke(view, gl.LINES, counts.soft / 3, paint.soft, -2, 0, 0.0008);
  attach(gl, slots.spot, buffers.lines, 3);
  stroke(view, gl.LINES, counts.lines / 3, paint.line, -2, 0, 0.0012);
}

function attach(gl, slot, buffer, size) {
  gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
  gl.enableVertexAttribArray(slot);
  gl.vertexAttribPointer(slot, size, gl.FLOAT, false, 0, 0);
}

function stroke(view, kind, count, colour, picked, lit, nearer) {
  const { gl, name } = view;
  gl.uniform3fv(name.colour, colour);
  gl.uniform1f(name.picked, picked);
  gl.uniform1f(name.lit, lit);
  gl.uniform1f(name.nearer, nearer);
  gl.drawArrays(kind, 0, count);
}

// The ray through a point of the canvas, from well in front of the part.
function rayAt(view, eye, x, y) {
  const box = view.canvas.getBoundingClientRect(), axes = axesOf(eye), least = Math.min(box.width, box.height);
  const across = ((2 * (x - box.left)) / box.width - 1 - eye.pan[0]) * (box.width / least) * (eye.reach / eye.zoom);
  const up = (1 - (2 * (y - box.top)) / box.height - eye.pan[1]) * (box.height / least) * (eye.reach / eye.zoom);
  const on = add(eye.middle, add(times(axes[0], across), times(axes[1], up)));
  return { origin: add(on, times(axes[2], 10 * eye.reach)), towards: times(axes[2], -1) };
}
