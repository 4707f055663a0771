import type { Posting } from '../metering/index.ts';
import type { DevicePosting } from './entry.ts';

/** A plug's postings, as those of the device it meters. */
export const postingsFor = (device: string, postings: readonly Posting[]): DevicePosting[] =>
  postings.map((posting) => ({ ...posting, device }));
