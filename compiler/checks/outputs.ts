/**
 * Checks of what hangs on the controllers: outputs used in two ways, too many
 * zones, and the load of each output and of a USB port (what burns together is
 * checked on the timeline).
 *
 * Continuous load (3 h or more) is commonly held to 80 % of a rating (US NEC
 * 210.19(A)(1) and 210.20(A), read in secondary pages); other countries
 * differ, so this only ever warns.
 */

import { itemAt } from '../../shared/assert.ts';
import { MAX_ZONES } from '../../shared/table.ts';
import type { Report } from '../findings/collector.ts';
import { hasLamps, zonesOfController } from '../plan/on-the-rack.ts';
import type { ResolvedController, ResolvedLamp, ResolvedPlan } from '../plan/plan.ts';
import type { Draft } from '../resolve/resolve.ts';

const CONTINUOUS = 0.8;
/** As a Modbus address this byte starts like a bootloader's command to program a page: no controller takes it (protocol.md). */
const BOOTLOADER_UNIT = 100;
/** What a USB port gives at most, amperes. */
const USB_AMPERES = 0.5;

export function checkControllers(draft: Draft, report: Report): void {
  const lamps = draft.lamps.filter((lamp) => lamp !== undefined);
  twoWays(draft, lamps, report);
  for (const [index, controller] of draft.controllers.entries()) {
    if (!controller) continue;
    if (controller.unit === BOOTLOADER_UNIT)
      report('controller-address', controller.span, { unit: controller.unit });
    const own = lamps.filter((lamp) => lamp.output.controller === index);
    outputLoad(draft, controller, own, report);
    usbLoad(controller, own, report);
  }
}

function twoWays(draft: Draft, lamps: readonly ResolvedLamp[], report: Report): void {
  const first = new Map<string, ResolvedLamp>();
  for (const lamp of lamps) {
    const { controller, number } = lamp.output;
    const board = draft.controllers[controller]?.board;
    if (board?.outputs[number - 1]?.kind !== 'dim') continue;
    const key = `${controller}/${number}`;
    const other = first.get(key);
    if (!other) first.set(key, lamp);
    else if (other.dimmable !== lamp.dimmable) {
      const [dimmable, full] = lamp.dimmable ? [lamp, other] : [other, lamp];
      report('output-two-ways', lamp.span, { number, dimmable: dimmable.name, full: full.name }, other.span);
    }
  }
}

/** Controllers that more zones count for than their table can keep apart. */
export function checkZones(plan: ResolvedPlan, report: Report): void {
  for (const [index, { name, span }] of plan.controllers.entries()) {
    const zones = zonesOfController(plan, index);
    if (zones.length <= MAX_ZONES) continue;
    const unlit = zones.filter((zone) => !hasLamps(plan, zone)).map((zone) => itemAt(plan.zones, zone).name);
    report('controller-zones', span, { controller: name, count: zones.length, limit: MAX_ZONES, unlit });
  }
}

const watts = (lamps: readonly ResolvedLamp[]) => lamps.reduce((sum, lamp) => sum + (lamp.power ?? 0), 0);
const hundredth = (value: number) => Math.round(value * 100) / 100;

/** The current of each output against what the board's outputs may carry. */
function outputLoad(
  draft: Draft,
  controller: ResolvedController,
  lamps: readonly ResolvedLamp[],
  report: Report,
): void {
  const { board, supply, name } = controller;
  const relays = board.limits.coilAmperes !== undefined;
  const volts = relays ? draft.circuit?.volts : supply?.volts;
  if (volts === undefined) return;
  for (const number of board.outputs.keys()) {
    const own = lamps.filter((lamp) => lamp.output.number === number + 1);
    const amperes = watts(own) / volts;
    const [first] = own;
    if (!first || amperes <= CONTINUOUS * board.limits.outputAmperes) continue;
    const facts = {
      controller: name,
      number: number + 1,
      amperes: hundredth(amperes),
      rating: board.limits.outputAmperes,
    };
    report('load-output', first.span, facts);
  }
}

/** Coils without a supply of their own; the work light switches all of them on. */
function usbLoad(
  { board, supply, span }: ResolvedController,
  lamps: readonly ResolvedLamp[],
  report: Report,
): void {
  if (supply) return;
  const used = new Set(lamps.map((lamp) => lamp.output.number));
  const relays = [...used].filter((number) => board.outputs[number - 1]?.kind === 'relay').length;
  const coils = relays * (board.limits.coilAmperes ?? 0);
  if (coils > USB_AMPERES)
    report('load-usb', span, { relays, amperes: hundredth(coils), limit: USB_AMPERES });
}
