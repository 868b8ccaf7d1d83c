import type { SeasonalWindow } from './seasons.ts';
import type { Source } from './sources.ts';
import type { DensityClass } from './units.ts';

export const families = ['burn', 'cut', 'line', 'spray', 'plant', 'monitor', 'notice'] as const;
export type Family = (typeof families)[number];

/** How much of the basis one person-day, crew-day or machine-hour gets through. `fixed`: crew days a job. */
export interface Rate extends Source {
  basis: 'acre' | 'line-foot' | 'point' | 'fixed';
  per: 'person-day' | 'machine-hour' | 'crew-day';
  /** One figure, or one by density class of the unit. For basis `fixed`: crew days a job. */
  amount: number | Record<DensityClass, number>;
}

/** A kind of work. Windows are biological only; no-work dates are held apart. */
export interface Treatment extends Source {
  key: string;
  name: string;
  family: Family;
  /** What it is for, one sentence. */
  purpose: string;
  /** OZ, GP, UM or MS: the region that the defaults are for. */
  region: string;
  scope: 'unit' | 'block' | 'property';
  windows: SeasonalWindow[];
  /** Source and status of the windows. */
  windowSource: Source;
  rate: Rate;
  /** `spread`: hand work over consecutive weeks; `one-day`: a burn or a visit; `run`: one run of days. */
  duration: 'spread' | 'one-day' | 'run';
  peopleLeast: number;
  /** Skills every crew on the job must have, e.g. `saw`, `fire`, `herbicide`, `tractor`. */
  skills: string[];
  /** Keys of gear that is taken for each day of the job. */
  gear: string[];
  /** Prescription of this kind of burn where it is not the block's own (a late-season burn); null = the block's. */
  prescriptionKey: string | null;
  /** Kit list in words. */
  kit: string;
  /** Largest stem cut or wounded, inches dbh; null when no tree is cut. */
  stemInchesMost: number | null;
  speciesGroups: string[];
  /** Keys into the cautions table. */
  cautionKeys: string[];
  regionNotes: string;
}

/** A short safety note with who decides instead of the tool. */
export interface Caution extends Source {
  key: string;
  text: string;
  /** Who comes first: local law, the label, the signed burn plan, the qualified person in charge. */
  deferTo: string;
}
