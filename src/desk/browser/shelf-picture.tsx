/** A picture of a shelf whose parts can be picked and moved, by pointer and by keys. */

import { useEffect, useRef } from 'preact/hooks';
import type { Vec3 } from '../../../compiler/plan/plan.ts';
import type { Movable } from '../../../compiler/write/move.ts';
import { keyPlace } from '../../../compiler/write/set-value.ts';
import type { Markup } from '../../page/html.ts';
import {
  beginMove,
  dropMove,
  fineStep,
  gridStep,
  isMoving,
  makeMove,
  shiftOf,
  tryMove,
  type View,
} from './dragging.ts';
import { goTo, textNow } from './editor.ts';
import { picked, pointed } from './state.ts';

interface Drag {
  readonly what: Movable;
  readonly x: number;
  readonly y: number;
  /** Millimetres of a pixel. */
  readonly scale: number;
  shift: Vec3;
  moved: boolean;
}

/** The line of the height looked at, in a picture that has one. */
interface HeightLine {
  /** mm above the shelf. */
  readonly height: number;
  readonly put: (height: number) => void;
}

/** A line that is being dragged: where it and the pointer were. */
interface LineDrag {
  readonly y: number;
  readonly from: number;
  readonly scale: number;
}

/** A pointer that hardly moved has pressed, not dragged. */
const PRESS_PX = 4;

export function ShelfPicture({ view, picture, line }: { view: View; picture: Markup; line?: HeightLine }) {
  const place = useRef<HTMLDivElement>(null);
  const lineDrag = useRef<LineDrag | undefined>(undefined);
  const drag = useRef<Drag | undefined>(undefined);
  useEffect(() => {
    const box = place.current;
    if (!box) return;
    const before = partAt(document.activeElement);
    const hadFocus = before !== undefined && box.contains(document.activeElement);
    const hadLine = isLine(document.activeElement) && box.contains(document.activeElement);
    // What the drawing makes is markup of ours, with every name escaped.
    box.innerHTML = picture.text;
    if (hadFocus && before) findPart(box, before)?.focus();
    if (hadLine) box.querySelector<SVGElement>('[data-height]')?.focus();
  }, [picture.text]);

  const onPointerDown = (event: PointerEvent): void => {
    const what = partAt(event.target);
    const svg = place.current?.querySelector('svg');
    if (!svg || event.button !== 0) return;
    const matrix = svg.getScreenCTM();
    if (line && isLine(event.target)) {
      lineDrag.current = { y: event.clientY, from: line.height, scale: 1 / (matrix?.a ?? 1) };
      place.current?.setPointerCapture(event.pointerId);
      place.current?.querySelector<SVGElement>('[data-height]')?.focus();
      event.preventDefault();
      return;
    }
    if (!what) return;
    drag.current = {
      what,
      x: event.clientX,
      y: event.clientY,
      scale: 1 / (matrix?.a ?? 1),
      shift: [0, 0, 0],
      moved: false,
    };
    place.current?.setPointerCapture(event.pointerId);
    event.preventDefault();
  };
  const onPointerMove = (event: PointerEvent): void => {
    const now = drag.current;
    const held = lineDrag.current;
    if (held && line) {
      const up = held.from + (held.y - event.clientY) * held.scale;
      const step = event.altKey ? fineStep().mm : gridStep();
      line.put(Math.round(up / step) * step);
      return;
    }
    if (!now) {
      const over = partAt(event.target);
      pointed.value = over?.kind === 'lamp' ? over.name : undefined;
      return;
    }
    const [right, down] = [event.clientX - now.x, event.clientY - now.y];
    if (!now.moved && Math.hypot(right, down) < PRESS_PX) return;
    if (!now.moved) beginMove();
    now.moved = true;
    const shift = shiftOf(view, now.what, right * now.scale, -down * now.scale, event.altKey);
    if (shift.every((one, axis) => one === now.shift[axis])) return;
    now.shift = shift;
    picked.value = now.what;
    void tryMove(now.what, shift);
  };
  const onPointerUp = (): void => {
    lineDrag.current = undefined;
    const now = drag.current;
    drag.current = undefined;
    if (!now) return;
    if (!now.moved) pick(now.what);
    else if (now.shift.every((one) => one === 0)) dropMove();
    else void makeMove(now.what, { shift: now.shift });
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.key === 'Escape' && drag.current) {
      drag.current = undefined;
      dropMove();
      return;
    }
    const onLine = line && isLine(event.target) ? WAYS[event.key] : undefined;
    if (line && onLine) {
      event.preventDefault();
      line.put(line.height + (onLine[0] + onLine[1]) * (event.altKey ? fineStep().mm : gridStep()));
      return;
    }
    const what = partAt(event.target);
    if (!what) return;
    if (event.key === 'Enter' || event.key === ' ') {
      event.preventDefault();
      pick(what);
      return;
    }
    const way = WAYS[event.key];
    if (!way) return;
    event.preventDefault();
    // A key that is held moves as fast as the picture follows.
    if (event.repeat && isMoving()) return;
    const step = event.altKey ? fineStep().mm : gridStep();
    const [right, up] = [way[0] * step, way[1] * step];
    picked.value = what;
    void makeMove(what, { shift: view === 'front' ? [right, 0, up] : [right, up, 0] });
  };
  const onFocus = (event: FocusEvent): void => {
    const over = partAt(event.target);
    pointed.value = over?.kind === 'lamp' ? over.name : undefined;
  };
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: the parts inside are the buttons; here their events are gathered.
    <div
      class="picture"
      ref={place}
      onPointerDown={onPointerDown}
      onPointerMove={onPointerMove}
      onPointerUp={onPointerUp}
      onPointerCancel={() => {
        lineDrag.current = undefined;
        drag.current = undefined;
        dropMove();
      }}
      onPointerLeave={() => {
        if (!drag.current) pointed.value = undefined;
      }}
      onKeyDown={onKeyDown}
      onFocusCapture={onFocus}
    />
  );
}

const WAYS: Readonly<Record<string, readonly [right: number, up: number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
};

const SECTIONS = { lamp: 'lamps', screen: 'screens', zone: 'zones' } as const;

/** Picks a part and shows its entry in the text. */
export function pick(what: Movable): void {
  picked.value = what;
  const found = keyPlace(textNow(), [SECTIONS[what.kind], what.name]);
  if (found) goTo(found.start, found.end, false);
}

function partAt(target: EventTarget | null): Movable | undefined {
  const element = target instanceof Element ? target.closest<SVGElement>('[data-kind]') : null;
  const { kind, name } = element?.dataset ?? {};
  if (name === undefined || (kind !== 'lamp' && kind !== 'screen' && kind !== 'zone')) return undefined;
  return { kind, name };
}

const isLine = (target: EventTarget | null): boolean =>
  target instanceof Element && target.closest('[data-height]') !== null;

function findPart(box: HTMLElement, { kind, name }: Movable): SVGElement | undefined {
  return [...box.querySelectorAll<SVGElement>(`[data-kind=${kind}]`)].find(
    (one) => one.dataset.name === name,
  );
}
