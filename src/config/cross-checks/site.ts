import { Calendar } from '../../units/index.ts';
import { nearest } from '../nearest.ts';
import type { Finding, Path } from '../problem.ts';
import type { View } from './view.ts';

/** Zone, currency and locale are ones that this machine knows. */
export function checkSite(view: View): Finding[] {
  const { time_zone: zone, currency, locale } = view.file.site ?? {};
  return [
    ...unknownZone(view, ['site', 'time_zone'], zone),
    ...unknownCurrency(view, currency),
    ...badLocale(locale),
  ];
}

export function unknownZone(view: View, path: Path, zone: string | undefined): Finding[] {
  if (zone === undefined || isZone(zone)) return [];
  const near = view.secret(path) ? undefined : nearest(zone, Intl.supportedValuesOf('timeZone'));
  return [
    {
      code: 'AMP_CONFIG_ZONE',
      path,
      allowed: 'an IANA time zone such as America/Winnipeg',
      remedy:
        near === undefined
          ? 'look the zone of your place up in the IANA time zone database'
          : `did you mean ${near}?`,
    },
  ];
}

/** An offset such as '+02:00' is a legal zone to the calendar, but knows no daylight saving. */
function isZone(zone: string): boolean {
  if (/^[+-]/.test(zone)) return false;
  try {
    new Calendar(zone);
    return true;
  } catch {
    return false;
  }
}

function unknownCurrency(view: View, currency: string | undefined): Finding[] {
  const known = Intl.supportedValuesOf('currency');
  if (currency === undefined || known.includes(currency)) return [];
  const path = ['site', 'currency'];
  const near = view.secret(path) ? undefined : nearest(currency, known);
  return [
    {
      code: 'AMP_CONFIG_CURRENCY',
      path,
      allowed: 'a currency code of ISO 4217 such as CAD or EUR',
      ...(near === undefined ? {} : { remedy: `did you mean ${near}?` }),
    },
  ];
}

function badLocale(locale: string | undefined): Finding[] {
  if (locale === undefined || isLocale(locale)) return [];
  return [
    {
      code: 'AMP_CONFIG_LOCALE',
      path: ['site', 'locale'],
      allowed: 'a BCP 47 language tag such as en-US or de-AT',
      remedy: 'join language and country with a hyphen',
    },
  ];
}

function isLocale(locale: string): boolean {
  try {
    return Intl.getCanonicalLocales(locale).length === 1;
  } catch {
    return false;
  }
}
