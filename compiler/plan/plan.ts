/**
 * The resolved plan: what the grower wrote, checked, with every default filled in.
 *
 * Always holds: names are unique within their kind; every index points to an
 * existing entry; lengths are millimetres in the shelf's own frame (x left to
 * right seen from the front, y front to back, z up from the shelf's surface);
 * days are civil days at the place. Everything after `plan/` works from this
 * and never looks at the text again.
 */

import type { Board } from '../../shared/board.ts';
import type { Units } from '../../shared/measures.ts';
import type {
  Celsius,
  CivilDay,
  Degrees,
  Kilograms,
  Lumens,
  Lux,
  Millimetres,
  Minutes,
  Watts,
} from '../../shared/units.ts';
import type { Span } from '../findings/finding.ts';

/** A point or a direction: x, y, z. */
export type Vec3 = readonly [x: number, y: number, z: number];

export interface ResolvedPlan {
  readonly title: string;
  /** The units the plan is written in, and so those in which its grower is answered. */
  readonly units: Units;
  /** IANA name of the time zone, such as `Europe/Lisbon`. */
  readonly timezone: string;
  /** `civil` follows the wall clock; `steady` keeps the UTC offset of each batch's sealing day. */
  readonly clock: 'civil' | 'steady';
  readonly circuit: { readonly volts: number; readonly amperes: number; readonly span?: Span } | undefined;
  readonly controllers: readonly ResolvedController[];
  readonly shelves: readonly ResolvedShelf[];
  readonly zones: readonly ResolvedZone[];
  readonly lamps: readonly ResolvedLamp[];
  readonly screens: readonly ResolvedScreen[];
  readonly background: readonly ResolvedBackground[];
  readonly bags: readonly ResolvedBag[];
  readonly batches: readonly ResolvedBatch[];
  readonly visits: ResolvedVisitRules;
  /** The band outside which the room is logged; undefined when the plan has no `room`. */
  readonly room: TemperatureBand | undefined;
  readonly growth: ResolvedGrowth;
  /** Every value the plan left to a default, in plan order. */
  readonly assumed: readonly Assumption[];
}

/** A temperature to keep, from and to. */
export interface TemperatureBand {
  readonly low: Celsius;
  readonly high: Celsius;
}

export interface Assumption {
  /** Where it would be written, such as `bags.tall.density`. */
  readonly path: string;
  /** As the grower would write it, such as `0.65 kg/L (0.55–0.80)`. */
  readonly value: string;
  readonly confidence: 'high' | 'medium' | 'low' | 'very low';
  /** Why, in a few words. */
  readonly because: string;
}

export interface ResolvedController {
  readonly name: string;
  readonly board: Board;
  /** Modbus unit address, 1–247. */
  readonly unit: number;
  readonly supply: { readonly volts: number; readonly amperes: number } | undefined;
  readonly span: Span;
}

export interface ResolvedShelf {
  readonly name: string;
  readonly height: Millimetres;
  readonly width: Millimetres;
  readonly depth: Millimetres;
  /** Free height up to the next board. */
  readonly clear: Millimetres;
  /** Share of light the deck passes: 0 solid, 0.8 wire (assumed). */
  readonly deckPasses: number;
  /** Shares of light that what stands round the shelf throws back, 0–1; a side left out throws nothing back. */
  readonly reflects?: Readonly<Partial<Record<SurfaceSide, number>>>;
  readonly span: Span;
}

/** The surfaces round a shelf's space: its own board, the board above, walls or cards at its sides. */
export type SurfaceSide = 'deck' | 'above' | 'back' | 'front' | 'left' | 'right';

export interface ResolvedZone {
  readonly name: string;
  /** Index into `shelves`. */
  readonly shelf: number;
  readonly x: readonly [Millimetres, Millimetres];
  readonly y: readonly [Millimetres, Millimetres];
  readonly across: number;
  readonly deep: number;
  /** Centres of the bags, `A-1`, `A-2` … from the front left, row by row. */
  readonly places: readonly BagPlace[];
  readonly span: Span;
}

export interface BagPlace {
  readonly name: string;
  readonly x: Millimetres;
  readonly y: Millimetres;
}

export type LampShape =
  | { readonly kind: 'strip'; readonly from: Vec3; readonly to: Vec3 }
  /** `beam` is the full beam angle between the half-intensity directions. */
  | { readonly kind: 'spot'; readonly at: Vec3; readonly beam: Degrees }
  /** `at` is the panel's centre; `size` is [across, up or along] in the panel's plane. */
  | { readonly kind: 'panel'; readonly at: Vec3; readonly size: readonly [Millimetres, Millimetres] };

export interface OutputRef {
  /** Index into `controllers`. */
  readonly controller: number;
  /** Output number, 1-based as on the board. */
  readonly number: number;
}

export interface ResolvedLamp {
  readonly name: string;
  /** Index into `shelves`. */
  readonly shelf: number;
  readonly output: OutputRef;
  readonly shape: LampShape;
  /** Unit vector of the lamp's axis, the way it shines. */
  readonly facing: Vec3;
  readonly flux: Lumens;
  /** Undefined when the plan gives none: then it takes no part in the load check. */
  readonly power: Watts | undefined;
  /** Name of an `.ies` file handed in beside the plan. */
  readonly photometry: string | undefined;
  readonly dimmable: boolean;
  /** Left out: white as the reference (`light/blue.ts`). */
  readonly colour?: LampColour | undefined;
  /** Name of a spectrum file handed in beside the plan (`light/spectrum.ts`); then there is no colour. */
  readonly spectrum?: string | undefined;
  /** Set when the lamp was written `beside` a zone: index into `zones` and the side. */
  readonly beside: { readonly zone: number; readonly side: LampSide } | undefined;
  /** Indices of zones, beside its own, that it may burn for as well. */
  readonly helps: readonly number[];
  readonly span: Span;
}

/** White of a colour temperature, or one wavelength. */
export type LampColour =
  | { readonly kind: 'white'; readonly kelvin: number }
  | { readonly kind: 'narrow'; readonly nanometres: number };

export type LampSide = 'left' | 'right' | 'front' | 'back' | 'above';

export interface ResolvedScreen {
  readonly name: string;
  readonly shelf: number;
  /** Two opposite corners of the thin upright board. */
  readonly from: Vec3;
  readonly to: Vec3;
  readonly span: Span;
}

export interface ResolvedBackground {
  readonly name: string;
  /** The zones (indices) it shines on; undefined: all. */
  readonly zones?: readonly number[] | undefined;
  /** The side it comes from. */
  readonly from: Degrees | 'above';
  readonly level: Lux;
  readonly hours: readonly [Minutes, Minutes];
  /** Days of the week, 0 Monday to 6 Sunday. */
  readonly on: readonly number[];
}

export interface ResolvedBag {
  readonly name: string;
  /** Across (x) and deep (y). */
  readonly footprint: readonly [Millimetres, Millimetres];
  readonly height: Millimetres;
  readonly fill: Kilograms;
  /** kg/L of the wet block. */
  readonly density: number;
  readonly film: { readonly passes: number; readonly scatters: number };
  /** Parts of the mix for the bag sheet, by share of dry mass, when the plan gives them. */
  readonly mix: ResolvedMix | undefined;
  readonly span: Span;
}

export interface ResolvedMix {
  readonly parts: readonly { readonly name: string; readonly share: number; readonly moisture: number }[];
  /** Target wet-basis moisture of the block, 0–1. */
  readonly moisture: number;
  /** Spawn as a share of the wet block's mass. */
  readonly spawn: number;
}

export type Lean =
  | { readonly kind: 'upright' }
  /** One side, then the next every `every` days, round and round. `hold` has a single side and no turns. */
  | {
      readonly kind: 'sides';
      /** The grower's own word for the motion. */
      readonly motion: 'hold' | 'sway' | 'wind';
      readonly sides: readonly Degrees[];
      /** Days a side; for `hold` the whole stage. */
      readonly every: number;
      /** `turning`: the lamp side stays and each change is a `turn` visit; sides are the bag's own. */
      readonly by: 'lamps' | 'turning';
      /** With `turning`: the fixed side the lamps light. */
      readonly lampSide: Degrees | undefined;
    };

export interface ResolvedStage {
  readonly name: string;
  /** First civil day. */
  readonly from: CivilDay;
  /** Civil days it covers, at least 1 (cut where an observed change or `ended` says so). */
  readonly days: number;
  /** Days after sealing on which the regime lets it begin, and its days there, whatever was observed since. */
  readonly regular: { readonly begins: number; readonly days: number };
  /** Undefined for a dark stage (`light: none`). */
  readonly light: { readonly start: Minutes; readonly photoperiod: Minutes } | undefined;
  readonly level: readonly [Lux, Lux] | undefined;
  readonly lean: Lean;
  /** Lift and look visits written in the stage itself. */
  readonly lift: VisitRule | undefined;
  readonly look: VisitRule | undefined;
  /** Its own temperature to keep; left out, the room's. */
  readonly keep?: TemperatureBand | undefined;
  readonly span: Span;
}

export interface ResolvedBatch {
  readonly name: string;
  readonly sealed: CivilDay;
  /** Indices into `zones`, in plan order, each with its own course (one may have ended earlier). */
  readonly zones: readonly BatchZone[];
  /** The zones (indices) its bags were sealed for, in plan order: bags are numbered through them. */
  readonly home: readonly number[];
  /** Index into `bags`. */
  readonly bag: number;
  readonly strain: string | undefined;
  readonly spawn: string | undefined;
  readonly lot: string | undefined;
  readonly note: string | undefined;
  readonly span: Span;
}

export interface BatchZone {
  /** Index into `zones`. */
  readonly zone: number;
  /** What the bags go through here. */
  readonly regime: string;
  /** First civil day on which the bags stand in the zone (the `enters` stage's first day, or the day written). */
  readonly enters: CivilDay;
  /** `enters` was written as a day: bags were moved here from the batch's other zones. */
  readonly isMovedTo: boolean;
  /** First civil day on which the zone is free again. */
  readonly free: CivilDay;
  /** That day was written, as `ended`. */
  readonly isEnded: boolean;
  /**
   * The stages spent in the zone, in order and without gaps from `enters`; the first of a zone that bags
   * were moved to keeps the day it began on, before they came.
   * `then: keep` shows as one last stage named `keep` that repeats the last light until `ended`.
   */
  readonly stages: readonly ResolvedStage[];
}

/** When a visit recurs: every so many days from a stage's (or, for batch-wide visits, the entry's) first day, or on weekdays. */
export interface VisitRule {
  readonly recur:
    | { readonly kind: 'every'; readonly days: number }
    | { readonly kind: 'weekdays'; readonly on: readonly number[] };
  readonly at: Minutes;
  /** Whether the plan says the time: then no other visit of the day moves it. */
  readonly fixed: boolean;
}

export interface ResolvedVisitRules {
  /** Visiting hours, in order, not overlapping, each [from, until) in civil minutes. */
  readonly hours: readonly (readonly [Minutes, Minutes])[];
  /** Most bags a day, if limited. */
  readonly most: number | undefined;
  readonly pulse: { readonly sound: boolean; readonly light: boolean };
  /** `visits.lift` is not here: it is folded into the lit stages that have no rule of their own. */
  readonly look: VisitRule | undefined;
  /** Days after sealing, half open: from day `from` up to and not including day `until`. */
  readonly harvest:
    | {
        readonly from: number;
        readonly until: number;
        readonly at: Minutes;
        /** Where it is written; undefined where it was left out. */
        readonly span?: Span;
      }
    | undefined;
  /** Days on which nobody visits, both ends included. */
  readonly away: readonly (readonly [CivilDay, CivilDay])[];
  readonly span: Span;
}

/** Inputs of the likely-lean estimate (`low`, `mid`, `high` of each). */
export interface ResolvedGrowth {
  /** mm/day */
  readonly rate: Range;
  /** Tip diameter, mm. */
  readonly tip: Range;
  /** Share of growth difference between the sides, f. */
  readonly pull: Range;
  /** G */
  readonly gravity: Range;
  /** days */
  readonly lag: Range;
}

export interface Range {
  readonly low: number;
  readonly mid: number;
  readonly high: number;
}
