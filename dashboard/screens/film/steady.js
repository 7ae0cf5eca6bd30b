// Whether the phone stood still: the little square around each lane mark is looked for again in another frame.

const HALF = 14, REACH = 24, LEAST_LIKENESS = 0.75;

function grey(context, x, y, half) {
  const size = 2 * half + 1, data = context.getImageData(Math.round(x) - half, Math.round(y) - half, size, size).data;
  const out = new Float32Array(size * size);
  for (let k = 0; k < out.length; k++) out[k] = 0.3 * data[4 * k] + 0.6 * data[4 * k + 1] + 0.1 * data[4 * k + 2];
  return out;
}

/** Remember what lies around each lane mark: taken from a canvas that holds a whole frame. */
export function squaresOf(canvas, marks) {
  const context = canvas.getContext("2d", { willReadFrequently: true });
  return marks.map((mark) => ({ x: mark.x, y: mark.y, values: grey(context, mark.x, mark.y, HALF) }));
}

function likeness(square, field, wide, left, top) {
  const size = 2 * HALF + 1, count = size * size;
  let a = 0, b = 0, aa = 0, bb = 0, ab = 0;
  for (let row = 0; row < size; row++) {
    for (let column = 0; column < size; column++) {
      const one = square[row * size + column], other = field[(top + row) * wide + left + column];
      a += one; b += other; aa += one * one; bb += other * other; ab += one * other;
    }
  }
  const spread = Math.sqrt((aa - (a * a) / count) * (bb - (b * b) / count));
  return spread > 0 ? (ab - (a * b) / count) / spread : 0;
}

/** How far each square lies elsewhere in this frame, in px; one that is hidden or looks like nothing is left out. */
export function shiftsIn(canvas, squares, frame) {
  const context = canvas.getContext("2d", { willReadFrequently: true }), wide = 2 * (HALF + REACH) + 1, found = [];
  for (const square of squares) {
    const field = grey(context, square.x, square.y, HALF + REACH);
    let best = { like: -1, dx: 0, dy: 0 };
    const look = (dx, dy) => {
      const like = likeness(square.values, field, wide, REACH + dx, REACH + dy);
      if (like > best.like + 1e-9) best = { like, dx, dy };
    };
    look(0, 0);
    for (let dy = -REACH; dy <= REACH; dy += 2) for (let dx = -REACH; dx <= REACH; dx += 2) look(dx, dy);
    const { dx: x, dy: y } = best;
    for (let dy = Math.max(y - 1, -REACH); dy <= Math.min(y + 1, REACH); dy++) {
      for (let dx = Math.max(x - 1, -REACH); dx <= Math.min(x + 1, REACH); dx++) look(dx, dy);
    }
    if (best.like >= LEAST_LIKENESS) found.push({ frame, dx: best.dx, dy: best.dy });
  }
  return found;
}
