import { z } from 'zod';

const minutes = z.number().min(0).max(10_080);
const kelvin = z.number().min(0).max(50);

/** Defaults are common practice and calculation, no published source; each can be set. */
export const watchesConfig = z
  .strictObject({
    heater_stuck_on: z
      .strictObject({
        above_switch_off_k: kelvin.default(0.3).describe('Warm by this much and still on, K.'),
        hold_min: minutes.default(10).describe('For this long before it speaks, min.'),
        critical_above_k: kelvin.default(1).describe('Critical from here, K above switch-off.'),
        unlearned_above_set_k: kelvin
          .default(0.5)
          .describe('Stands for the switch-off point until that is learned: set point + this, K.'),
      })
      .prefault({}),
    heater_not_heating: z
      .strictObject({
        draws_under: z.number().min(0).max(1).default(0.05).describe('Fraction of its on-power.'),
        below_set_k: kelvin.default(0.7).describe('Cold by this much below the set point, K.'),
        hold_min: minutes.default(60).describe('For this long before it speaks, min.'),
      })
      .prefault({}),
    out_of_range: z
      .strictObject({
        hold_min: minutes.default(10).describe('Outside for this long before it speaks, min.'),
        critical_beyond_k: kelvin.default(1.5).describe('Critical from here outside, K.'),
        reenter_k: kelvin.default(0.2).describe('How far inside again before it closes, K.'),
      })
      .prefault({}),
    silence: z
      .strictObject({
        intervals: z.number().min(1).default(3).describe('Usual intervals without a word.'),
        at_least_min: minutes.default(5).describe('But never sooner than this, min.'),
      })
      .prefault({}),
    room_cooling: z
      .strictObject({
        fall_k: kelvin.default(2).describe('Falls by this much, K,'),
        within_min: minutes.default(180).describe('within this time, min.'),
      })
      .prefault({}),
  })
  .describe('When the watches speak.');

export type WatchesConfig = z.infer<typeof watchesConfig>;
