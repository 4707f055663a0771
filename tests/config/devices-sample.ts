import { edited, SAMPLE } from './sample.ts';

/** The sample with a strip, a room heater and a heater that was moved; nothing is wrong with it. */
export const DEVICES = edited(SAMPLE, [
  { swap: '  lamp-plug: {}\n', by: '  lamp-plug: { remainder: lamp }\n' },
  {
    swap: '  blower:\n',
    by: `  skimmer:
    kind: pump
    nameplate_w: 8
    plug: lamp-plug
    divided: { by: equal, among: [reed-bed, upkeep] }
  stirrer:
    kind: pump
    nameplate_w: 4
    divided:
      by: volume
      among: [reed-bed, mat-den]
  stove:
    kind: room-heater
    nameplate_w: 900
    reckon_from: '2026-01-02'
    divided:
      by: heat-need
      among: [reed-bed, mat-den]
      room_without_c: 11
    moved:
      - { on: '2026-03-03', tank: upkeep }
      - on: '2026-03-05'
        divided:
          by: outlets
          outlets: { reed-bed: 3, upkeep: 1 }
      - on: '2026-03-07'
        shares: { reed-bed: 0.6, mat-den: 0.4 }
    until: '2026-05-01'
  blower:
`,
  },
]);
