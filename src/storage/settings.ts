import type { Database } from 'better-sqlite3';
import { type Weights, weightNames, weightsDefault } from '../core/costs.ts';
import type { Settings } from '../core/operation.ts';
import type { Problem } from '../core/problems.ts';
import { shareBlackPercentLeastDefault } from '../core/rotation.ts';
import { type SupplyLevel, supplySettingsDefault } from '../core/weather/supply.ts';
import type { ChangeLog } from './changes.ts';

interface SettingsRow {
  level: SupplyLevel;
  weekdayShare: number;
  usedShare: number;
  seasonsAfter: number;
  shareBlackPercentLeast: number;
  weights: string;
}

const settingsDefault: Settings = {
  supply: supplySettingsDefault,
  weights: weightsDefault,
  seasonsAfter: 2,
  shareBlackPercentLeast: shareBlackPercentLeastDefault,
};

/** What is wrong with the settings as entered; empty = they can be stored. */
export function checkSettings(settings: Settings): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: 'settings', field, message });
  const { supply, weights, seasonsAfter, shareBlackPercentLeast: black } = settings;
  if (!['half', '7-of-10', '9-of-10'].includes(supply.level))
    say('supply.level', 'Level of past years: pick half, 7 of 10 or 9 of 10.');
  if (!(supply.weekdayShare >= 0 && supply.weekdayShare <= 1))
    say('supply.weekdayShare', 'Share of weekdays worked: give a number from 0 to 1.');
  if (!(supply.usedShare >= 0 && supply.usedShare <= 1))
    say('supply.usedShare', 'Share of fit days really used: give a number from 0 to 1.');
  if (!(Number.isInteger(seasonsAfter) && seasonsAfter >= 0 && seasonsAfter <= 4))
    say('seasonsAfter', 'Burning seasons planned after this one: give a whole number from 0 to 4.');
  if (!(black >= 0 && black <= 100))
    say('shareBlackPercentLeast', 'Least share black: give per cent from 0 to 100.');
  for (const key of Object.keys(weightNames) as (keyof Weights)[])
    if (!(weights[key] >= 0 && Number.isFinite(weights[key])))
      say(`weights.${key}`, `${weightNames[key]}: give points from 0 up.`);
  return problems;
}

/** Figures of an operation; the defaults stand until the user saves own ones. */
export function settingsRepository(db: Database, changes: ChangeLog) {
  const find = db.prepare<[], SettingsRow>(
    `SELECT supply_level AS level, weekday_share AS weekdayShare, used_share AS usedShare,
       seasons_after AS seasonsAfter, share_black_percent_least AS shareBlackPercentLeast, weights
     FROM setting`,
  );
  const write = db.prepare(
    `INSERT OR REPLACE INTO setting (id, supply_level, weekday_share, used_share, seasons_after,
       share_black_percent_least, weights)
     VALUES (1, @level, @weekdayShare, @usedShare, @seasonsAfter, @shareBlackPercentLeast, @weights)`,
  );
  const insert = (settings: Settings): void => {
    const { supply, seasonsAfter, shareBlackPercentLeast } = settings;
    const weights = JSON.stringify(settings.weights);
    write.run({ ...supply, seasonsAfter, shareBlackPercentLeast, weights });
  };
  const save = (settings: Settings): Problem[] => {
    const problems = checkSettings(settings);
    if (problems.length > 0) return problems;
    insert(settings);
    changes.note('rules', 'The settings were changed.');
    return [];
  };
  return {
    current: (): Settings => {
      const row = find.get();
      if (!row) return structuredClone(settingsDefault);
      const { level, weekdayShare, usedShare, seasonsAfter, shareBlackPercentLeast } = row;
      // A weight that a later version adds starts at its default.
      const weights = { ...weightsDefault, ...(JSON.parse(row.weights) as Partial<Weights>) };
      const supply = { level, weekdayShare, usedShare };
      return { supply, weights, seasonsAfter, shareBlackPercentLeast };
    },
    insert,
    save: db.transaction(save).immediate,
  };
}
