import { z } from 'zod';
import { displayName, id } from '../units/config.ts';
import { Calendar } from '../units/index.ts';
import { faultsOfFeed } from './feed-faults.ts';
import { faultsOfPriceFeed } from './price-feed-faults.ts';

const pointer = z
  .string()
  .regex(/^(\/([^~]|~[01])*)*$/, "an RFC 6901 JSON Pointer such as '/energy/total'")
  .describe(
    'Where the value stands in the JSON payload (RFC 6901). Leave it out for a bare value.',
  );

const sourceName = z
  .string()
  .regex(
    /^([a-z0-9-]|\{[a-z][a-z0-9_]*\})+$/,
    "an id, or a pattern such as '{plug}' or '{strip}-2'",
  )
  .describe('Id of the plug or probe; {level} stands for the text of that topic level.');

const common = {
  at: pointer.optional(),
  scale: z
    .number()
    .refine((scale) => scale !== 0, 'any number but 0')
    .default(1)
    .describe('The value is multiplied by this, in its unit.'),
  offset: z.number().default(0).describe('Added after scaling, in its unit.'),
  plausible: z
    .strictObject({
      min: z.number().describe('The least that can be true; below it a value is refused.'),
      max: z.number().describe('The most that can be true; above it a value is refused.'),
    })
    .refine(({ min, max }) => min < max, 'min below max')
    .optional()
    .describe('Values outside are refused; in W, Wh, V, °C or %.'),
  sentinels: z
    .array(z.number())
    .default([])
    .describe('Raw values by which this sensor says that it is broken, such as 85 or -127.'),
};

function isZone(zone: string): boolean {
  try {
    return new Calendar(zone).zone === zone;
  } catch {
    return false;
  }
}

const timeFormat = z
  .enum(['iso', 'epoch-s', 'epoch-ms'])
  .default('iso')
  .describe('How it is written: ISO 8601, or seconds or milliseconds since 1970.');

const timeZone = z
  .string()
  .refine(isZone, 'an IANA time zone such as America/Winnipeg')
  .optional()
  .describe('IANA zone of ISO times written without an offset; UTC unless told.');

const noValueWords = z
  .array(z.string())
  .default(['unavailable', 'unknown', 'null', 'none', 'nan', ''])
  .describe('Words that mean there is no value now; letter case does not matter.');

const powerValue = z.strictObject({
  measure: z.literal('power'),
  plug: sourceName.default('{plug}'),
  unit: z.enum(['W', 'kW', 'mW']).default('W').describe('The unit it is sent in.'),
  sign: z
    .enum(['as-sent', 'reversed', 'absolute'])
    .default('as-sent')
    .describe('Which way the plug signs what the device draws.'),
  ...common,
});

const counterValue = z.strictObject({
  measure: z.literal('counter'),
  plug: sourceName.default('{plug}'),
  unit: z
    .enum(['Wh', 'kWh', 'mWh', 'Ws', 'Wmin'])
    .default('kWh')
    .describe('The unit it is sent in.'),
  register: id
    .optional()
    .describe('Which of the plug’s registers this is; the plug says what its registers make.'),
  ...common,
});

const voltageValue = z.strictObject({
  measure: z.literal('voltage'),
  plug: sourceName.default('{plug}'),
  unit: z
    .enum(['V', 'mV'])
    .default('V')
    .describe(
      'The unit it is sent in. Where the voltage is known, a heater on a weak mains is not taken for a weak heater.',
    ),
  ...common,
});

const temperatureValue = z.strictObject({
  measure: z.literal('temperature'),
  probe: sourceName.default('{probe}'),
  unit: z.enum(['C', 'F', 'K']).default('C').describe('The unit it is sent in.'),
  ...common,
});

const humidityValue = z.strictObject({
  measure: z.literal('humidity'),
  probe: sourceName.default('{probe}'),
  unit: z.enum(['%', 'fraction']).default('%').describe('The unit it is sent in.'),
  ...common,
});

const presenceValue = z.strictObject({
  measure: z.literal('presence'),
  plug: sourceName.optional(),
  probe: sourceName.optional(),
  at: pointer.optional(),
  on: z.array(z.string()).default(['online', 'true', '1']).describe('Words for present.'),
  off: z.array(z.string()).default(['offline', 'false', '0']).describe('Words for gone.'),
});

export const feedValue = z.discriminatedUnion('measure', [
  powerValue,
  counterValue,
  voltageValue,
  temperatureValue,
  humidityValue,
  presenceValue,
]);

export const feedConfig = z
  .strictObject({
    topic: z
      .string()
      .min(1)
      .max(1024)
      .regex(
        /^(#|(\+|\{[a-z][a-z0-9_]*\}|[^+#{}/]*)(\/(\+|\{[a-z][a-z0-9_]*\}|[^+#{}/]*))*(\/#)?)$/,
        "levels divided by '/', each a text, '{word}' or '+', and '#' only as the last",
      )
      .describe(
        "An MQTT topic filter. '{plug}', '{probe}' or any '{word}' stands for one level and gives it a name; '+' and a last '#' are allowed.",
      ),
    names: z
      .record(z.string(), id)
      .default({})
      .describe('Text of a named level → id of the plug or probe, where the two differ.'),
    values: z.array(feedValue).min(1),
    time: z
      .strictObject({
        at: pointer.describe('Where the time stands in the JSON payload (RFC 6901).'),
        format: timeFormat,
        zone: timeZone,
      })
      .optional()
      .describe('The payload’s own time. Without it, a reading is as of its arrival.'),
    no_value: noValueWords,
    decimal_comma: z.boolean().default(false).describe("Numbers arrive as text like '12,5'."),
  })
  .superRefine((feed, context) => {
    for (const { path, message } of faultsOfFeed(feed)) {
      context.addIssue({ code: 'custom', path: [...path], message });
    }
  })
  .describe('How one kind of MQTT message becomes readings.');

export const feedsConfig = z.record(id, feedConfig);

export const priceFeedConfig = z
  .strictObject({
    topic: z
      .string()
      .min(1)
      .max(1024)
      .regex(
        /^(#|(\+|[^+#{}/]*)(\/(\+|[^+#{}/]*))*(\/#)?)$/,
        "levels divided by '/', each a text or '+', and '#' only as the last",
      )
      .describe("An MQTT topic filter; '+' and a last '#' are allowed."),
    series: id
      .optional()
      .describe(
        'The series of prices that it fills, as a tariff names it; its own id unless told.',
      ),
    list: pointer
      .optional()
      .describe(
        'Where the list of prices stands in the JSON payload; the other places are then within its entries. Leave it out for one price.',
      ),
    start: pointer
      .optional()
      .describe('Where a price’s beginning stands. Without it, the price is that of now.'),
    end: pointer.optional().describe('Where a price’s end stands; give either end or minutes.'),
    minutes: z
      .union([z.literal(15), z.literal(60)])
      .optional()
      .describe('How long a price holds, where the payload does not say.'),
    price: pointer.optional().describe('Where the price stands. Leave it out for a bare number.'),
    unit: z
      .enum(['per-kwh', 'per-mwh', 'cents-per-kwh'])
      .default('per-kwh')
      .describe('What the price is for, in the site’s currency or its hundredths.'),
    time: z
      .strictObject({
        format: timeFormat,
        zone: timeZone,
      })
      .prefault({})
      .describe('How beginnings and ends are written.'),
    no_value: noValueWords,
  })
  .superRefine((feed, context) => {
    for (const { path, message } of faultsOfPriceFeed(feed)) {
      context.addIssue({ code: 'custom', path: [...path], message });
    }
  })
  .describe('How one kind of MQTT message becomes prices of slots.');

export const priceFeedsConfig = z.record(id, priceFeedConfig);

export const probeConfig = z
  .strictObject({
    name: displayName.optional(),
    tank: id.optional().describe('The tank whose water (or air, in a terrarium) it measures.'),
    room: id.optional().describe('The room whose air it measures; give either tank or room.'),
    usual_interval_s: z
      .number()
      .positive()
      .optional()
      .describe('How often it reports; learned where not told.'),
  })
  .describe('A temperature or humidity sensor in a tank or a room.');

export type FeedConfig = z.infer<typeof feedConfig>;
export type FeedValue = z.infer<typeof feedValue>;
export type PriceFeedConfig = z.infer<typeof priceFeedConfig>;
export type ProbeConfig = z.infer<typeof probeConfig>;
