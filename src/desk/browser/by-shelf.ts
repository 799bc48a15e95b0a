/** What is told shelf by shelf: who shows one is not drawn anew for the others. */

import { computed, type ReadonlySignal } from '@preact/signals';

/** What `of` tells of a shelf (index), told again only where that is another value. */
export function byShelf<T>(of: (shelf: number) => T): (shelf: number) => T {
  const kept = new Map<number, ReadonlySignal<T>>();
  return (shelf) => {
    const one = kept.get(shelf) ?? computed(() => of(shelf));
    kept.set(shelf, one);
    return one.value;
  };
}
