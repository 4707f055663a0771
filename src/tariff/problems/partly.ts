import type { TariffInput } from '../config.ts';

/**
 * T as far as it is there. A key without a value stands for one that was found wrong already, so
 * that nothing can be told from it; a key that is not there was left out.
 */
export type Partly<T> = T extends readonly (infer Entry)[]
  ? readonly (Partly<Entry> | undefined)[]
  : T extends object
    ? { readonly [Key in keyof T]?: Partly<T[Key]> | undefined }
    : T;

export type PartlyTariff = Partly<TariffInput>;
export type PartlyTariffs = { readonly [id: string]: PartlyTariff | undefined };
export type PartlyEnergy = NonNullable<PartlyTariff['energy']>;
export type PartlyFlat = Extract<PartlyEnergy, { readonly kind?: 'flat' | undefined }>;
export type PartlyTimeOfUse = Extract<PartlyEnergy, { readonly kind?: 'time-of-use' | undefined }>;

/** Whether `key` has a value that was found wrong already. */
export const isWrong = (map: object, key: string): boolean =>
  key in map && (map as Record<string, unknown>)[key] === undefined;

/** The entries of a map that can be relied on. */
export const entriesOf = <T>(map: { readonly [id: string]: T | undefined } | undefined) =>
  Object.entries(map ?? {}).filter((entry): entry is [string, T] => entry[1] !== undefined);
