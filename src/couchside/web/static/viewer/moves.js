// Hands on the canvas: mouse, wheel, fingers, keys, turned into pans, zooms and a caliper's moves.

/**
 * @typedef {object} Moves
 * @property {(dxPx: number, dyPx: number) => void} pan
 * @property {(factor: number, pointPx: {x: number, y: number}) => void} zoom
 * @property {(key: string, isShifted: boolean) => boolean} key  whether the key was taken
 * @property {(pointPx: {x: number, y: number}, isTouch: boolean) => boolean} take
 *   whether the hand took hold of something instead of the sheet
 * @property {(pointPx: {x: number, y: number}) => void} drag  what the hand holds
 */

const WHEEL_ZOOM = 0.0025;

/**
 * Listen to a canvas.
 * @param {HTMLCanvasElement} canvas
 * @param {Moves} moves
 */
export function listenToMoves(canvas, moves) {
  listenToPointers(canvas, moves);
  canvas.addEventListener("wheel", (event) => turnWheel(canvas, moves, event), { passive: false });
  canvas.addEventListener("keydown", (event) => {
    const isPlain = !event.altKey && !event.ctrlKey && !event.metaKey;
    if (isPlain && moves.key(event.key, event.shiftKey)) {
      event.preventDefault();
    }
  });
}

/**
 * One pointer drags; two drag and spread.
 * @param {HTMLCanvasElement} canvas
 * @param {Moves} moves
 */
function listenToPointers(canvas, moves) {
  /** @type {Map<number, {x: number, y: number}>} */
  const down = new Map();
  let holds = false;

  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    down.set(event.pointerId, { x: event.offsetX, y: event.offsetY });
    canvas.classList.add("moving");
    // a second finger lets go of the line: two fingers always move the sheet
    const point = { x: event.offsetX, y: event.offsetY };
    holds = down.size === 1 && moves.take(point, event.pointerType === "touch");
  });

  canvas.addEventListener("pointermove", (event) => {
    if (!down.has(event.pointerId)) {
      return;
    }
    if (holds) {
      moves.drag({ x: event.offsetX, y: event.offsetY });
      down.set(event.pointerId, { x: event.offsetX, y: event.offsetY });
      return;
    }
    const before = measureHands(down);
    down.set(event.pointerId, { x: event.offsetX, y: event.offsetY });
    const after = measureHands(down);
    moves.pan(before.x - after.x, before.y - after.y);
    if (before.spread > 0 && after.spread > 0) {
      moves.zoom(after.spread / before.spread, { x: after.x, y: after.y });
    }
  });

  /** @param {PointerEvent} event */
  const lift = (event) => {
    down.delete(event.pointerId);
    holds = false;
    canvas.classList.toggle("moving", down.size > 0);
  };
  canvas.addEventListener("pointerup", lift);
  canvas.addEventListener("pointercancel", lift);
}

/**
 * The middle of all fingers, and how far the first two are apart.
 * @param {Map<number, {x: number, y: number}>} down
 * @returns {{x: number, y: number, spread: number}}
 */
function measureHands(down) {
  const points = [...down.values()];
  const [first, second] = points;
  return {
    x: points.reduce((sum, point) => sum + point.x, 0) / points.length,
    y: points.reduce((sum, point) => sum + point.y, 0) / points.length,
    spread: first && second ? Math.hypot(first.x - second.x, first.y - second.y) : 0,
  };
}

/**
 * Ctrl and the wheel zoom, Shift and the wheel move sideways; the plain wheel scrolls the page.
 * @param {HTMLCanvasElement} canvas
 * @param {Moves} moves
 * @param {WheelEvent} event
 */
function turnWheel(canvas, moves, event) {
  if (event.ctrlKey) {
    event.preventDefault();
    const box = canvas.getBoundingClientRect();
    const point = { x: event.clientX - box.left, y: event.clientY - box.top };
    moves.zoom(Math.exp(-event.deltaY * WHEEL_ZOOM), point);
  } else if (event.shiftKey || Math.abs(event.deltaX) > Math.abs(event.deltaY)) {
    event.preventDefault();
    moves.pan(event.deltaX || event.deltaY, 0);
  }
}
