/**
 * The light of large racks: field, choice of outputs and tables of towers of shelves no
 * two alike, two zones of two bags and four lamps a shelf, staggered over 26 weeks.
 */

import { lightReport } from '../../compiler/advice/light-report.ts';
import { lightField } from '../../compiler/light/field.ts';
import { UTC_OFFSETS } from '../../compiler/plan/table-offsets.ts';
import { steerDays } from '../../compiler/steer/choose.ts';
import { assembleTable } from '../../compiler/table/assemble.ts';
import { encodeTable } from '../../shared/table-encode.ts';
import { daysOf, tower, wireRack, wireTower } from '../compiler/light/rack.ts';
import { type Row, row } from './row.ts';

/** Processor time of `work`, ms: other work on the machine does not count. */
function processor(work: () => void): number {
  const { user, system } = process.cpuUsage();
  work();
  const spent = process.cpuUsage({ user, system });
  return (spent.user + spent.system) / 1000;
}

function towerTime(zones: number): number {
  const plan = tower(zones);
  const days = daysOf(plan);
  return processor(() => {
    const steered = steerDays(plan, lightField(plan), days);
    plan.controllers.forEach((_, controller) => {
      encodeTable(
        assembleTable({ plan, controller, days: steered.days, offsets: UTC_OFFSETS, visits: [], digest: 0 }),
      );
    });
  });
}

/** Field, choice and report of a tower of wire decks, ms. */
function wireTime(zones: number): number {
  const plan = wireTower(zones);
  const days = daysOf(plan);
  return processor(() => {
    const field = lightField(plan);
    lightReport(plan, field, steerDays(plan, field, days));
  });
}

export async function rows(): Promise<Row[]> {
  towerTime(10);
  const [ten, fifty, twoHundred] = [10, 50, 200].map(towerTime) as [number, number, number];
  const wire = wireRack();
  const wireRackTime = processor(() => {
    steerDays(wire, lightField(wire), daysOf(wire));
  });
  const [wireFifty, wireAll] = [50, 208].map(wireTime) as [number, number];
  return [
    row('field, choice and tables, 10 zones (processor time)', ten, 'ms'),
    row('the same, 50 zones', fifty, 'ms'),
    row('the same, 200 zones', twoHundred, 'ms', { most: 5000 }),
    row('growth from 50 to 200 zones over linear', twoHundred / fifty / 4, '', { most: 1.3 }),
    row('field and choice, wire rack', wireRackTime, 'ms'),
    row('field, choice and report, 50 zones on wire decks', wireFifty, 'ms'),
    row('the same, 208 zones', wireAll, 'ms', { most: 10_000 }),
    row('growth from 50 to 208 zones over linear', (wireAll / wireFifty / 208) * 50, '', { most: 1.3 }),
    row('the same, 40 shelves', wireTime(80), 'ms', { most: 4000 }),
  ];
}
