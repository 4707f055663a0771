import { z } from 'zod';
import { tankConfig } from '../heat/config.ts';
import { id } from '../units/config.ts';

const minutes = z.number().min(0).max(10_080);
const kelvin = z.number().min(0).max(50);
const part = z.number().min(0).max(1);

/**
 * What can be set for the site, and again for some of what is in it. Defaults are common practice and
 * calculation, no published source.
 */
const thresholds = {
  heater_stuck_on: {
    above_switch_off_k: kelvin.default(0.3).describe('Warm by this much and still on, K.'),
    hold_min: minutes.default(10).describe('For this long before it speaks, min.'),
    critical_above_k: kelvin.default(1).describe('Critical from here, K above switch-off.'),
    unlearned_above_set_k: kelvin
      .default(0.5)
      .describe('Stands for the switch-off point until that is learned: set point + this, K.'),
  },
  heater_not_heating: {
    draws_under: part.default(0.05).describe('Fraction of its on-power.'),
    below_set_k: kelvin.default(0.7).describe('Cold by this much below the set point, K.'),
    hold_min: minutes.default(60).describe('For this long before it speaks, min.'),
  },
  heater_overmatched: {
    duty: part.default(0.95).describe('Heats for this part of the time'),
    for_min: z.number().min(30).max(1_320).default(180).describe('of so long, min,'),
    fallen_k: kelvin.default(0.1).describe('and yet it got colder by this within two hours, K.'),
  },
  heater_weak: {
    below: part.default(0.15).describe('Draws less than learned by this part'),
    cycles: z.int().min(1).max(8).default(3).describe('in so many runs, one after the other.'),
  },
  heater_drifting: {
    wanders_k: kelvin.default(0.5).describe('Its switch-off has moved so far in 14 days, K.'),
  },
  heater_chattering: {
    switchings: z.int().min(4).max(24).default(12).describe('Switches so often, unevenly,'),
    within_min: z.number().min(1).max(60).default(10).describe('within this time, min.'),
  },
  heater_unheard: {
    worth_k: kelvin.default(0.5).describe('Heat that should have warmed by this in two hours, K,'),
    answered_k: kelvin.default(0.1).describe('has not warmed even by this, K.'),
    hold_min: minutes.default(30).describe('For this long before it speaks, min.'),
  },
  heater_against_chiller: {
    part_of_day: part
      .default(0.1)
      .describe('Heated and cooled within a quarter of an hour, for this part of a day.'),
  },
  duty_unexplained: {
    hold_min: minutes.default(720).describe('Outside the fit’s band for this long, min.'),
  },
  probe_frozen: {
    times_longest: z
      .number()
      .min(1)
      .default(3)
      .describe('The same value for so many times longer than ever, while a heater works,'),
    at_least_min: minutes.default(30).describe('but never sooner than this, min.'),
  },
  pump_stopped: {
    draws_under: part.default(0.2).describe('Draws less than this part of its usual power,'),
    hold_min: minutes
      .default(5)
      .describe(
        'for this long, min. Short pauses that come again, as for feeding, add to it; in a pump’s first week pauses of 10 min are taken to be usual.',
      ),
    after_power_min: minutes
      .default(10)
      .describe('Back so long after its power is, or else it speaks, min.'),
  },
  pump_laboring: {
    change: part.default(0.1).describe('Draws more or less by this part of its usual power'),
    hold_h: z.number().min(12).max(168).default(24).describe('for this long, h.'),
    urgent_change: part.default(0.25).describe('Urgent from this part on,'),
    urgent_min: minutes.default(15).describe('for this long, min.'),
  },
  air_stopped: {
    change: part.default(0.2).describe('Draws more or less by this part of its usual power'),
    hold_min: minutes.default(30).describe('for this long before it speaks, min.'),
    floor_w: z
      .number()
      .min(0)
      .max(100)
      .default(1)
      .describe('An air pump that draws less than this cannot be judged by its plug, W.'),
  },
  light_off_plan: {
    hold_min: minutes.default(30).describe('On or off against its schedule for this long, min.'),
    photoperiod_over_min: minutes.default(120).describe('On for so long too much: worse, min.'),
  },
  mat_overheating: {
    low_k: kelvin.default(5).describe('On without a break, and the probe so far too low, K,'),
    hold_min: minutes.default(60).describe('for this long before it speaks, min.'),
  },
  expensive_night: {
    times: z.number().min(1).max(100).default(1.5).describe('Dearer than so many usual nights'),
    floor: z.number().min(0).default(0.5).describe('and than this, in the site’s currency.'),
    coverage: part.default(0.9).describe('Only where this part of the night is known.'),
  },
  silence: {
    intervals: z.number().min(1).default(3).describe('Usual intervals without a word.'),
    at_least_min: minutes.default(5).describe('But never sooner than this, min.'),
  },
  room_cooling: {
    fall_k: kelvin.default(2).describe('Falls by this much, K,'),
    within_min: minutes.default(180).describe('within this time, min.'),
  },
  out_of_range: {
    hold_min: minutes.default(10).describe('Outside for this long before it speaks, min.'),
    critical_beyond_k: kelvin.default(1.5).describe('Critical from here outside, K.'),
    reenter_k: kelvin.default(0.2).describe('How far inside again before it closes, K.'),
  },
};

type Shape = Readonly<Record<string, z.ZodDefault>>;
type Blocks = typeof thresholds;
/** A shape in which nothing has to be told and nothing is filled in. */
type Told<S extends Shape> = {
  [Key in keyof S]: S[Key] extends z.ZodDefault<infer T> ? z.ZodOptional<T> : never;
};

function block<S extends Shape>(shape: S) {
  return z.strictObject(shape).prefault({} as never);
}

function toldOf<S extends Shape>(shape: S) {
  const told = Object.entries(shape).map(([key, value]) => {
    const optional = value.unwrap() as z.ZodType;
    return [key, optional.optional().describe(value.description ?? '')];
  });
  return z.strictObject(Object.fromEntries(told) as Told<S>).optional();
}

const mapBlocks = <Out>(make: (shape: Shape) => z.ZodType) =>
  Object.fromEntries(
    Object.entries(thresholds).map(([key, shape]) => [key, make(shape as Shape)]),
  ) as Out;

const forSite = mapBlocks<{ [Key in keyof Blocks]: ReturnType<typeof block<Blocks[Key]>> }>(block);
const forSome =
  mapBlocks<{ [Key in keyof Blocks]: ReturnType<typeof toldOf<Blocks[Key]>> }>(toldOf);
export const watchesConfig = z
  .strictObject({
    ...forSite,
    cost_ahead: z
      .strictObject({
        budget_per_month: z
          .number()
          .positive()
          .optional()
          .describe('What a month may cost, in the site’s currency. Without it nobody watches.'),
        over: part.default(0.1).describe('Projected over the budget by this part.'),
        first_days: z
          .int()
          .min(0)
          .max(28)
          .default(5)
          .describe('Days at the start of a month in which a projection is only a guess.'),
      })
      .prefault({}),
    power_cut: z
      .strictObject({
        plugs: z.int().min(2).default(3).describe('So many plugs fall silent'),
        within_s: z.number().min(0).max(3600).default(60).describe('within this time, s.'),
      })
      .prefault({}),
    overrides: z
      .array(
        z.strictObject({
          tanks: z.array(id).min(1).optional().describe('For these tanks and what is in them,'),
          devices: z.array(id).min(1).optional().describe('or for these devices,'),
          housing: tankConfig.shape.housing
            .unwrap()
            .optional()
            .describe('or for all tanks that are built so and what is in them,'),
          rooms: z.array(id).min(1).optional().describe('or for these rooms and what is in them,'),
          plugs: z.array(id).min(1).optional().describe('or for these plugs,'),
          probes: z.array(id).min(1).optional().describe('or for these probes.'),
          ...forSome,
        }),
      )
      .default([])
      .describe(
        'Other thresholds for some; of several that fit, the later wins. Shipped and laid under them: out_of_range is { hold_min: 30, critical_beyond_k: 4, reenter_k: 0.5 } for terrarium and vivarium, { hold_min: 60, critical_beyond_k: 3 } for pond.',
      ),
  })
  .describe('When the watches speak.');

export type WatchesConfig = z.infer<typeof watchesConfig>;
