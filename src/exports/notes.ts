import type { MeterNote } from '../metering/index.ts';
import type { Refusal } from '../readings/index.ts';
import { type Column, moment, raw, text } from './column.ts';

/** What meters corrected or refused, and what feeds refused. */
export interface Notes {
  readonly meters: Iterable<MeterNote>;
  readonly refusals: Iterable<Refusal>;
}

type NoteRow =
  | { readonly of: 'meter'; readonly note: MeterNote }
  | { readonly of: 'feed'; readonly refusal: Refusal };

const meterNote = (row: NoteRow) => (row.of === 'meter' ? row.note : undefined);
const refusal = (row: NoteRow) => (row.of === 'feed' ? row.refusal : undefined);
const atOf = (row: NoteRow) => (row.of === 'meter' ? row.note.at : row.refusal.at);

export const noteColumns: readonly Column<NoteRow>[] = [
  ...moment<NoteRow>('at', 'when', atOf),
  text('of', 'meter: a reading was corrected or refused; feed: a message was refused', (row) => {
    return row.of;
  }),
  text('reason', 'what was done or wrong, one word of a closed list', (row) => {
    return row.of === 'meter' ? row.note.event : row.refusal.reason;
  }),
  text('source', 'id of the plug or probe, where it is known', (row) => {
    return meterNote(row)?.plug ?? refusal(row)?.source?.id;
  }),
  text('register', 'of a plug with several counters: which of them', (row) => {
    return meterNote(row)?.register;
  }),
  raw('before', 'Wh, W or ms', 'of a meter: the value or time before', (row) => {
    return meterNote(row)?.before;
  }),
  raw('found', 'Wh, W or ms', 'of a meter: the value, time or length found', (row) => {
    return meterNote(row)?.found;
  }),
  text('feed', 'of a feed: its id, where one matched', (row) => refusal(row)?.feed),
  text('topic', 'of a feed: the topic', (row) => refusal(row)?.topic),
  text(
    'payload',
    'of a feed: the value found, cut to 120 characters',
    (row) => refusal(row)?.found,
  ),
];

/** By time, earliest first. What the store keeps of them is bounded, so they may be sorted here. */
export function noteRows({ meters, refusals }: Notes): Iterable<NoteRow> {
  const rows: NoteRow[] = [
    ...Array.from(meters, (note): NoteRow => ({ of: 'meter', note })),
    ...Array.from(refusals, (refusal): NoteRow => ({ of: 'feed', refusal })),
  ];
  return rows.sort((a, b) => atOf(a) - atOf(b));
}
