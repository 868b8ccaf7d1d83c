import type { Aspect, DensityClass } from '../units.ts';
import type { Patchwork } from './subdivision.ts';

/** The invented land of the sample: two properties in a county that does not exist. */
export const longHollow: Patchwork = {
  longitude: -92.94,
  latitude: 36.88,
  columnFeet: [1120, 1360, 1060, 1280, 1420, 980],
  rowFeet: [1180, 1420, 1080, 1260],
  codes: [
    ['', 'N1', 'N2', 'N3', 'N4', ''],
    ['W1', 'N5', 'N6', 'N7', 'N8', 'E1'],
    ['W2', 'W3', 'N9', 'E2', 'E3', 'E4'],
    ['', 'E5', 'E6', 'W4', 'E7', ''],
  ],
  creekColumn: 3,
  roadRow: 2,
  seed: 41,
};

export const meadowBench: Patchwork = {
  longitude: -92.87,
  latitude: 36.905,
  columnFeet: [1260, 1120, 1480, 1220],
  rowFeet: [1320, 1180, 1360, 940],
  codes: [
    ['', 'P1', 'P2', 'G1'],
    ['P3', 'P4', 'P5', 'G2'],
    ['F1', 'F2', 'F3', 'G3'],
    ['', 'F4', '', ''],
  ],
  creekColumn: 3,
  roadRow: 2,
  seed: 77,
};

export interface SampleUnit {
  code: string;
  name: string;
  communityKey: string;
  aspect: Aspect;
  slopePercent: number;
  densityClass: DensityClass;
  tags: string[];
}

const unit = (
  code: string,
  name: string,
  communityKey: string,
  aspect: Aspect,
  slopePercent: number,
  densityClass: DensityClass,
  ...tags: string[]
): SampleUnit => ({ code, name, communityKey, aspect, slopePercent, densityClass, tags });

export const sampleUnits: SampleUnit[] = [
  unit('N1', 'Lantern Ridge', 'oak-savanna', 'SW', 14, 'moderate'),
  unit('N2', 'Saddle', 'oak-savanna', 'W', 16, 'moderate'),
  unit('N3', 'Cedar Throat', 'oak-woodland', 'SE', 18, 'dense', 'near-roost'),
  unit('N4', 'Old Gate', 'oak-savanna', 'S', 11, 'moderate'),
  unit('N5', 'Stave Mill West', 'oak-woodland', 'S', 13, 'scattered'),
  unit('N6', 'Stave Mill East', 'oak-woodland', 'S', 15, 'scattered'),
  unit('N7', 'White Shelf', 'glade', 'SW', 22, 'moderate'),
  unit('N8', 'Lizard Steps', 'glade', 'S', 26, 'scattered'),
  unit('N9', 'Split Rock', 'glade', 'W', 24, 'thicket'),
  unit('E1', 'Morning Slope', 'oak-woodland', 'E', 12, 'moderate'),
  unit('E2', 'Wagon Turn', 'oak-woodland', 'NE', 17, 'dense'),
  unit('E3', 'Long Bench', 'oak-woodland', 'SE', 9, 'moderate'),
  unit('E4', 'Cave Point', 'oak-woodland', 'N', 21, 'dense', 'near-roost'),
  unit('E5', 'Two Wells West', 'oak-woodland', 'NW', 15, 'scattered'),
  unit('E6', 'Two Wells East', 'oak-woodland', 'N', 18, 'scattered'),
  unit('E7', 'Turkey Track', 'oak-savanna', 'SW', 8, 'scattered'),
  unit('W1', 'Smoke Hollow', 'oak-savanna', 'W', 12, 'scattered'),
  unit('W2', 'Young Timber', 'oak-woodland', 'NW', 14, 'moderate'),
  unit('W3', 'Quarry Side', 'oak-savanna', 'S', 19, 'moderate'),
  unit('W4', 'Tangle', 'oak-savanna', 'SE', 16, 'thicket'),
  unit('P1', 'Big Bluestem', 'tallgrass-prairie', 'flat', 3, 'scattered'),
  unit('P2', 'Windrow', 'tallgrass-prairie', 'W', 4, 'scattered'),
  unit('P3', 'Lower Meadow West', 'tallgrass-prairie', 'S', 4, 'scattered'),
  unit('P4', 'Lower Meadow East', 'tallgrass-prairie', 'S', 5, 'scattered'),
  unit('P5', 'Hay Barn', 'old-field', 'SE', 5, 'moderate', 'quail-sensitive'),
  unit('F1', 'Seeded Forty', 'old-field', 'flat', 2, 'scattered', 'contract-land'),
  unit('F2', 'Fescue Flat', 'old-field', 'flat', 2, 'scattered', 'contract-land'),
  unit('F3', 'Covey Field', 'old-field', 'E', 3, 'scattered', 'contract-land', 'quail-sensitive'),
  unit('F4', 'Lane and Yard', 'old-field', 'flat', 3, 'scattered'),
  unit('G1', 'Thin Soil', 'glade', 'SW', 20, 'moderate'),
  unit('G2', 'Chinkapin', 'oak-woodland', 'W', 13, 'moderate'),
  unit('G3', 'Creek Corner', 'oak-savanna', 'S', 7, 'scattered'),
];

export interface SampleBlock {
  name: string;
  codes: string[];
  sequenceKey: string;
  prescriptionKey: 'hardwood-litter' | 'grass' | null;
  /** 1 = from the start; 2 = its first cycle is behind it. */
  firstCycle: 1 | 2;
  /** How much of what a burn needs is on file. */
  onFile: 'all' | 'plan' | 'little' | 'nothing';
}

const block = (
  codes: string,
  sequenceKey: string,
  prescriptionKey: SampleBlock['prescriptionKey'],
  onFile: SampleBlock['onFile'],
  firstCycle: 1 | 2 = 1,
  name = '',
): SampleBlock => ({
  codes: codes.split(' '),
  sequenceKey,
  prescriptionKey,
  onFile,
  firstCycle,
  name,
});

export const sampleBlocks: SampleBlock[] = [
  block('N1', 'cedar-woodland', 'hardwood-litter', 'plan'),
  block('N2', 'cedar-woodland', 'hardwood-litter', 'all'),
  block('N3', 'cedar-woodland', 'hardwood-litter', 'nothing'),
  block('N4', 'cedar-woodland', 'hardwood-litter', 'little'),
  block('N5 N6', 'cedar-woodland', 'hardwood-litter', 'plan', 2, 'Stave Mill'),
  block('N7', 'glade', 'hardwood-litter', 'plan'),
  block('N8', 'glade', 'hardwood-litter', 'plan', 2),
  block('N9', 'glade', 'hardwood-litter', 'nothing'),
  block('E1', 'burn-burn-thin-burn', 'hardwood-litter', 'plan'),
  block('E2', 'burn-burn-thin-burn', 'hardwood-litter', 'little'),
  block('E3', 'closed-woodland', 'hardwood-litter', 'little'),
  block('E4', 'closed-woodland', 'hardwood-litter', 'nothing'),
  block('E5 E6', 'burn-rotation', 'hardwood-litter', 'little', 1, 'Two Wells'),
  block('E7', 'burn-rotation', 'hardwood-litter', 'all'),
  block('W1', 'burn-rotation', 'hardwood-litter', 'plan'),
  block('W2', 'burn-rotation', 'hardwood-litter', 'nothing'),
  block('W3', 'cedar-woodland', 'hardwood-litter', 'plan', 2),
  block('W4', 'cedar-woodland', 'hardwood-litter', 'nothing'),
  block('P1', 'prairie-thirds', 'grass', 'plan'),
  block('P2', 'grass-burn-rotation', 'grass', 'all'),
  block('P3 P4', 'grass-burn-rotation', 'grass', 'plan', 1, 'Lower Meadow'),
  block('P5', 'grass-burn-rotation', 'grass', 'little'),
  block('F1', 'old-field-fescue', 'grass', 'nothing'),
  block('F2', 'old-field-fescue', 'grass', 'nothing'),
  block('F3', 'quail-field-thirds', null, 'nothing'),
  block('F4', 'line-upkeep', null, 'nothing'),
  block('G1', 'glade', 'hardwood-litter', 'little'),
  block('G2', 'cedar-woodland', 'hardwood-litter', 'plan'),
  block('G3', 'burn-rotation', 'hardwood-litter', 'little'),
];
