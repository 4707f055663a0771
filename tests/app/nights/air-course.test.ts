import { describe, expect, it } from 'vitest';
import { airCourse } from '../../../src/app/nights/air-course.ts';
import type { AirMemory } from '../../../src/app/nights/memory.ts';
import { nightOn } from '../../../src/app/nights/span.ts';
import { Calendar, HOUR, type LocalDate, later, SLOT } from '../../../src/units/index.ts';

const night = nightOn('2026-05-05' as LocalDate, new Calendar('America/Winnipeg'));
const LENGTH = 40;
/** Evenings of 20 °C; nights that begin at 18 °C and lose a tenth with each slot. */
const usual = Array.from({ length: 60 }, (_, slot) => (slot < 16 ? 20 : 18 - (slot - 16) / 10));
const memory: AirMemory = {
  version: 1,
  nights: Array.from({ length: 5 }, (_, i) => ({ from: i, air: usual })),
};
const round = (values: readonly number[] = []) => values.map((value) => Number(value.toFixed(6)));

describe('the air of a room tonight', () => {
  it('goes as its nights went, where the evening is as evenings were', () => {
    const course = airCourse(memory, night, night.evening, 20, undefined);
    expect(round(course?.roomC)).toEqual(round(usual.slice(16, 16 + LENGTH)));
  });

  it('is colder all through the night where the evening is, less so toward its end', () => {
    const course = airCourse(memory, night, later(night.evening, 2 * HOUR), 14, undefined);
    const colder = round(course?.roomC.map((celsius, slot) => (usual[16 + slot] ?? 0) - celsius));
    // Six kelvin two hours before, of which e^(-8/48) are left as the night begins.
    expect(colder[0]).toBeCloseTo(6 * Math.exp(-8 / 48), 5);
    expect(colder.at(-1)).toBeCloseTo(6 * Math.exp(-47 / 48), 5);
  });

  it('keeps of the hours that have passed what was known of them, and is surer of the whole', () => {
    const before = airCourse(memory, night, later(night.from, -SLOT), 20, undefined);
    const now = later(night.from, 5 * HOUR);
    const course = airCourse(memory, night, now, 10, before);
    expect(course?.roomC).toHaveLength(LENGTH);
    expect(course?.roomC.slice(0, 20)).toEqual(before?.roomC.slice(0, 20));
    expect(course?.roomC[20]).toBeCloseTo(10, 6);
    expect(course?.errorK).toBeCloseTo((before?.errorK ?? 0) / 2, 6);
    // After a restart, nothing was said an hour ago: the nights before stand for what has passed.
    const anew = airCourse(memory, night, now, 10, undefined);
    expect(round(anew?.roomC.slice(0, 20))).toEqual(round(usual.slice(16, 36)));
  });

  it('is not known without a night before', () => {
    expect(airCourse({ version: 1, nights: [] }, night, night.evening, 20, undefined)).toBe(
      undefined,
    );
  });
});
