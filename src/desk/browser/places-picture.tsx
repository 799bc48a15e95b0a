/**
 * A picture of a shelf in which single bags are dragged to other places, by
 * pointer and by keys.
 *
 * Always holds: here nothing is written and no rule is known: what was picked
 * and where it was let go is told, wherever that is; Escape lets go.
 */

import { useEffect, useRef } from 'preact/hooks';
import type { Markup } from '../../page/html.ts';

interface Drag {
  readonly place: string;
  /** The bag, and its name upon it. */
  readonly parts: readonly SVGElement[];
  readonly x: number;
  readonly y: number;
  /** Units of the drawing in a pixel. */
  readonly scale: number;
  moved: boolean;
}

/** A pointer that hardly moved has pressed, not dragged. */
const PRESS_PX = 4;

export interface PlacesPictureProps {
  readonly picture: Markup;
  /** A place was pressed; a second press says where to. */
  readonly onPress: (place: string) => void;
  /** The bag of a place was dragged to another. */
  readonly onDrop: (from: string, to: string) => void;
  readonly onLetGo: () => void;
}

export function PlacesPicture({ picture, onPress, onDrop, onLetGo }: PlacesPictureProps) {
  const box = useRef<HTMLDivElement>(null);
  const drag = useRef<Drag | undefined>(undefined);
  useEffect(() => {
    const place = box.current;
    if (!place) return;
    const focused = place.contains(document.activeElement) ? placeAt(document.activeElement) : undefined;
    // What the drawing makes is markup of ours, with every name escaped.
    place.innerHTML = picture.text;
    if (focused !== undefined)
      placesIn(place)
        .find(({ dataset }) => dataset.name === focused)
        ?.focus();
  }, [picture.text]);

  const letGo = (): void => {
    const now = drag.current;
    drag.current = undefined;
    for (const part of now?.parts ?? []) {
      part.removeAttribute('transform');
      part.classList.remove('dragged');
    }
    markTarget(undefined);
  };
  const onPointerDown = (event: PointerEvent): void => {
    const part = partAt(event.target);
    const svg = part?.ownerSVGElement;
    if (!svg || !part.dataset.name || event.button !== 0) return;
    const place = part.dataset.name;
    const names = [...svg.querySelectorAll<SVGElement>('[data-of]')];
    drag.current = {
      ...{ place, x: event.clientX, y: event.clientY, moved: false },
      parts: [part, ...names.filter(({ dataset }) => dataset.of === place)],
      scale: 1 / (svg.getScreenCTM()?.a ?? 1),
    };
    box.current?.setPointerCapture(event.pointerId);
    part.focus();
    event.preventDefault();
  };
  const onPointerMove = (event: PointerEvent): void => {
    const now = drag.current;
    if (!now) return;
    const [right, down] = [event.clientX - now.x, event.clientY - now.y];
    if (!now.moved && Math.hypot(right, down) < PRESS_PX) return;
    now.moved = true;
    for (const part of now.parts) {
      part.classList.add('dragged');
      part.setAttribute('transform', `translate(${right * now.scale} ${down * now.scale})`);
    }
    markTarget(under(event, now.place));
  };
  const onPointerUp = (event: PointerEvent): void => {
    const now = drag.current;
    const to = now?.moved ? under(event, now.place)?.dataset.name : undefined;
    letGo();
    if (!now) return;
    if (!now.moved) onPress(now.place);
    else if (to !== undefined) onDrop(now.place, to);
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.key === 'Escape') {
      letGo();
      onLetGo();
      return;
    }
    const place = placeAt(event.target);
    if (place === undefined) return;
    const way = WAYS[event.key];
    if (way) nearest(partAt(event.target), way)?.focus();
    else if (event.key === 'Enter' || event.key === ' ') onPress(place);
    else return;
    event.preventDefault();
  };
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: the places inside are the buttons; here their events are gathered.
    <div
      class="picture places"
      ref={box}
      onPointerDown={onPointerDown}
      onPointerMove={onPointerMove}
      onPointerUp={onPointerUp}
      onPointerCancel={letGo}
      onKeyDown={onKeyDown}
    />
  );
}

const WAYS: Readonly<Record<string, readonly [right: number, down: number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

function partAt(target: EventTarget | null): SVGElement | undefined {
  const found = target instanceof Element ? target.closest<SVGElement>('[data-kind=place]') : null;
  return found ?? undefined;
}

const placeAt = (target: EventTarget | null): string | undefined => partAt(target)?.dataset.name;

const placesIn = (within: ParentNode): SVGElement[] => [
  ...within.querySelectorAll<SVGElement>('[data-kind=place]'),
];

/** The place under a pointer, in whatever picture; not the one that the bag was taken from. */
function under({ clientX, clientY }: PointerEvent, from: string): SVGElement | undefined {
  const part = partAt(document.elementFromPoint(clientX, clientY));
  return part?.dataset.name === from ? undefined : part;
}

function markTarget(part: SVGElement | undefined): void {
  for (const one of document.querySelectorAll('.places .target'))
    if (one !== part) one.classList.remove('target');
  part?.classList.add('target');
}

/** The place that is next in a direction, in its own picture or another that looks the same way. */
function nearest(
  from: SVGElement | undefined,
  [right, down]: readonly [number, number],
): SVGElement | undefined {
  if (!from) return undefined;
  const view = from.closest<HTMLElement>('[data-view]')?.dataset.view;
  const middle = (part: Element): readonly [number, number] => {
    const { left, top, width, height } = part.getBoundingClientRect();
    return [left + width / 2, top + height / 2];
  };
  const [x, y] = middle(from);
  const ranked = placesIn(document).flatMap((part) => {
    if (part === from || part.closest<HTMLElement>('[data-view]')?.dataset.view !== view) return [];
    const [px, py] = middle(part);
    const [along, aside] = [
      (px - x) * right + (py - y) * down,
      Math.abs((px - x) * down) + Math.abs((py - y) * right),
    ];
    return along > 1 ? [{ part, far: along + 3 * aside }] : [];
  });
  return ranked.sort((a, b) => a.far - b.far)[0]?.part;
}
