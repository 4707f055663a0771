import type { Tariff } from '../tariff/index.ts';
import { digest, type Span } from '../units/index.ts';
import type { AccountBasis } from './basis.ts';
import { dutyOf, usedUntil } from './reckon.ts';
import { SHEET_FORM } from './sheet-text.ts';

/**
 * The keys of local days: equal where the same entries, corrections and published prices make the
 * same sheets. Prices do not count, but for those that a formula makes of published ones.
 */
export function sheetKeys(basis: AccountBasis): (day: Span) => string {
  const { tariffs, calendar } = basis;
  const strips = stripTexts(basis);
  const known = new Map<string, string>();
  return (day) => {
    const holding = tariffsOn(day, tariffs.tariffs);
    const stands = strips.findLast(({ from }) => from <= day.from);
    const place = `${stands?.from} ${holding.map(({ id }) => id).join('/')}`;
    let key = known.get(place);
    if (key === undefined) {
      const texts = [SHEET_FORM, calendar.zone, stands?.text(), holding.map(hoursText)];
      key = digest(JSON.stringify(texts));
      known.set(place, key);
    }
    return key;
  };
}

export const tariffsOn = (day: Span, tariffs: readonly Tariff[]): readonly Tariff[] =>
  tariffs.filter(({ from, to }) => from < day.to && (to === undefined || to > day.from));

function hoursText({ id, hoursKey, priceKey, rates, series }: Tariff): string {
  const kinds = rates.map(({ key, price }) => `${key} ${price.kind}`);
  const prices = series === undefined ? [] : [series, priceKey];
  return JSON.stringify([id, hoursKey, kinds, prices]);
}

/** From when on which devices share the plugs, and by what they are divided; by time. */
function stripTexts({ strips, devices, calendar }: AccountBasis) {
  const outlets = [...strips].flatMap(([plug, { remainder, devices: fed }]) =>
    fed.map((id) => {
      const config = devices[id];
      const ends = config === undefined ? undefined : usedUntil(config, calendar);
      const power =
        fed.length === 1 || config === undefined
          ? []
          : [config.nameplate_w, dutyOf(config), config.schedule ?? null];
      const isRemainder = id === remainder;
      return { ends: isRemainder ? undefined : ends, parts: [plug, id, isRemainder, ...power] };
    }),
  );
  const turns = new Set(outlets.map(({ ends }) => ends ?? Number.NEGATIVE_INFINITY));
  return [...turns]
    .sort((a, b) => a - b)
    .map((from) => ({
      from,
      text: () =>
        JSON.stringify(
          outlets.filter(({ ends }) => ends === undefined || ends > from).map(({ parts }) => parts),
        ),
    }));
}
