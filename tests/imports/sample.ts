import { readFileSync } from 'node:fs';
import { type EspiOptions, FileRefused, readEspi } from '../../src/imports/index.ts';
import { Calendar } from '../../src/units/index.ts';

export const NEW_YORK = new Calendar('America/New_York');
export const BERLIN = new Calendar('Europe/Berlin');

export const reference = (path: string): Buffer =>
  readFileSync(new URL(`../reference/${path}`, import.meta.url));

export const SITE: EspiOptions = { calendar: NEW_YORK, currency: 'USD' };

export const read = (text: string, options: Partial<EspiOptions> = {}) =>
  readEspi([text], { ...SITE, ...options });

/** How a reader refuses a file; fails when it takes it, or throws anything else. */
export async function refusalOf(reading: Promise<unknown>): Promise<FileRefused> {
  try {
    await reading;
  } catch (error) {
    if (error instanceof FileRefused) return error;
    throw error;
  }
  throw new Error('the file was taken');
}

/** One interval reading: an hour of 1 kWh unless told otherwise; '' leaves a field out. */
export interface Reading {
  readonly start?: number | string;
  readonly duration?: number | string;
  readonly value?: number | string;
  readonly cost?: number | string;
  readonly quality?: readonly (number | string)[];
}

/** 2026-03-01T06:00Z */
export const START = 1_772_344_800;

export function readingXml({
  start = START,
  duration = 3600,
  value = 1000,
  cost,
  quality = [],
}: Reading = {}): string {
  const element = (name: string, text: number | string = ''): string =>
    text === '' ? '' : `<${name}>${text}</${name}>`;
  return [
    '<IntervalReading>',
    element('cost', cost),
    ...quality.map((code) => `<ReadingQuality><quality>${code}</quality></ReadingQuality>`),
    `<timePeriod>${element('duration', duration)}${element('start', start)}</timePeriod>`,
    element('value', value),
    '</IntervalReading>',
  ].join('\n');
}

export const blockXml = (...readings: Reading[]): string =>
  `<IntervalBlock xmlns="http://naesb.org/espi">\n${readings.map(readingXml).join('\n')}\n</IntervalBlock>`;

/** A reading type with everything that is needed; `undefined` leaves a field out. */
export function typeXml(fields: Record<string, number | string | undefined> = {}): string {
  const all = {
    accumulationBehaviour: 4,
    commodity: 1,
    currency: 840,
    flowDirection: 1,
    powerOfTenMultiplier: 0,
    uom: 72,
    ...fields,
  };
  const inner = Object.entries(all)
    .filter(([, text]) => text !== undefined)
    .map(([name, text]) => `<${name}>${text}</${name}>`);
  return `<ReadingType xmlns="http://naesb.org/espi">${inner.join('')}</ReadingType>`;
}

export interface EntryLinks {
  readonly self?: string;
  readonly up?: string;
  readonly related?: readonly string[];
  readonly title?: string;
}

export function entryXml(
  content: string,
  { self, up, related = [], title }: EntryLinks = {},
): string {
  const links = [
    ...(self === undefined ? [] : [`<link rel="self" href="${self}"/>`]),
    ...(up === undefined ? [] : [`<link rel="up" href="${up}"/>`]),
    ...related.map((href) => `<link rel="related" href="${href}"/>`),
  ];
  const named = title === undefined ? '' : `<title>${title}</title>`;
  return `<entry>\n${links.join('\n')}${named}\n<content>${content}</content>\n</entry>`;
}

export const feedXml = (...entries: string[]): string =>
  `<?xml version="1.0" encoding="UTF-8"?>\n<feed xmlns="http://www.w3.org/2005/Atom">\n${entries.join('\n')}\n</feed>\n`;

/** A feed of one meter. */
export const simpleFeed = (
  type: Record<string, number | string | undefined>,
  ...readings: Reading[]
) => feedXml(entryXml(typeXml(type)), entryXml(blockXml(...readings)));
