/** What is asked of each command to hear its units: for a plan `rack.plan.yaml` in a folder. */

import { join } from 'node:path';

export const ZONE_AND_DAY = ['--timezone', 'America/Chicago', '--sealed', '2026-02-16'];

/** What is asked of each command, in the order of a season; those of one entry one after another. */
export function askedOf(folder: string): Readonly<Record<string, () => readonly (readonly string[])[]>> {
  const file = (name: string): string => join(folder, name);
  const plan = file('rack.plan.yaml');
  const port = ['--port', `virtual:${file('rack.json')}`];
  const on = ['--day', '2026-05-04'];
  return {
    init: () => [[file('second.plan.yaml'), '--units', 'in', ...ZONE_AND_DAY]],
    check: () => [[plan, '--page', file('check.html')]],
    simulate: () => [
      [
        plan,
        '--from',
        '2026-05-01',
        '--days',
        '3',
        '--page',
        file('simulate.html'),
        '--trace',
        file('trace.txt'),
        '--event',
        '2026-05-01 09:00 probe 95 F',
      ],
      [plan, '--event', '2026-05-01 09:00 probe'],
    ],
    light: () => [[plan]],
    compile: () => [[plan, '-o', file('tables')]],
    batch: () => [
      [plan, '--zones', 'A', '--sealed', '2026-08-01'],
      [plan, '--zones', 'A', '--sealed', '2026-08-02'],
    ],
    install: () => [[...port]],
    flash: () => [[plan, ...port, '--yes', '--at', '2026-03-30']],
    status: () => [[...port, '--plan', plan, '--advance', '1d', '--event', '+1h probe 95 F']],
    log: () => [
      [plan, ...port, '--advance', '4d'],
      [plan, ...port],
    ],
    note: () => [
      [plan, 'A1', '--height', '4 1/2 in', '--lean', '20 deg', '--mass', '3 oz', ...on],
      [plan, 'A1', '--height', '2 in', '--day', '2026-04-20'],
      [plan, 'A2', '--mass', '3.1 oz', ...on],
      [plan, 'A3', '--mass', '2.5 oz', ...on],
      [plan, 'A1', '--height', '12', ...on],
      [plan, 'A1', '--height', '900 in', ...on],
      [plan, 'A1', '--mass', '900 lb', ...on],
      [plan, 'B1', '--cull', '--why', 'mould', ...on],
      [plan, '--withdraw', 'none'],
      [plan],
    ],
    visits: () => [
      [plan, ...on, '--days', '60', '--ics', file('visits.ics'), '--card', file('card.html')],
      [plan, '--done', 'A', 'lift', ...on],
    ],
    began: () => [[plan, 'knobs', 'first', '--day', '2026-03-31']],
    cull: () => [[plan, 'B-2', '--why', 'leak', ...on], [plan]],
    move: () => [
      [plan, 'B-3', '--to', 'A', ...on],
      [plan, 'A-1', '--swap', 'B-1', ...on],
    ],
    harvest: () => [
      [plan, 'A-2', '--fresh', '3 oz', ...on],
      [plan, 'A-2', '--dry', '1 oz', ...on],
      [plan, 'A-3', '--fresh', '90', ...on],
      [plan, 'A-3', '--fresh', '19 lb', ...on],
    ],
    made: () => [[plan, 'first', 'sterilised', '--from', '14:00', '--until', '16:30', '--day', '2026-02-16']],
    // After the harvest, so that it tells of the crop.
    review: () => [
      [plan, '--page', file('review.html')],
      [plan, '--lot', 'first', '--page', file('lot.html')],
    ],
    labels: () => [[plan, '--page', file('labels.html'), ...on]],
    // It runs until it is stopped; its page is tried in a browser.
    desk: () => [['--help-me']],
    prep: () => [[plan, '--page', file('prep.html')]],
    lamps: () => [[plan, ...port, '--yes']],
    ports: () => [[]],
    // It runs until it is stopped; a plan with a fault makes it say so and end.
    virtual: () => [['--plan', file('faulty.plan.yaml')]],
  };
}
