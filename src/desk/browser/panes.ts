/**
 * The panes that stand beside the plan, one line each.
 *
 * Always holds: the code of a pane that is not shown first is fetched when it
 * is opened; from then on the pane stays, so that nothing typed in it is lost.
 */

import type { ComponentType } from 'preact';
import { RackPane } from './rack-pane.tsx';

export interface Pane {
  /** A word for `pane` in state.ts and `data-pane` in the page. */
  readonly name: string;
  /** On its button and above it. */
  readonly title: string;
  readonly load: () => Promise<ComponentType>;
}

/** In the order of their buttons; the first stands beside the plan at the start. */
export const PANES: readonly [Pane, ...Pane[]] = [
  { name: 'rack', title: 'Rack', load: () => Promise.resolve(RackPane) },
  { name: 'weeks', title: 'Weeks', load: async () => (await import('./weeks-pane.tsx')).WeeksPane },
  { name: 'evening', title: 'Evening', load: async () => (await import('./evening-pane.tsx')).EveningPane },
  {
    name: 'controller',
    title: 'Controller',
    load: async () => (await import('./controller-pane.tsx')).ControllerPane,
  },
  { name: 'review', title: 'Review', load: async () => (await import('./review-pane.tsx')).ReviewPane },
];
