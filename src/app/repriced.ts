import type { RepricingSummary } from '../books/index.ts';
import type { NewRepricing } from '../storage/index.ts';
import type { Instant } from '../units/index.ts';

/** A re-pricing as the store keeps it on record; undefined where no day was touched. */
export function repricingRecord(summary: RepricingSummary, at: Instant): NewRepricing | undefined {
  const { span, site, tanks, devices, months, standing } = summary;
  if (span === undefined) return undefined;
  return {
    at,
    span,
    summary: {
      site,
      standing,
      tanks: Object.fromEntries(tanks),
      devices: Object.fromEntries(devices),
      months: Object.fromEntries(months),
    },
  };
}
