import type { Database } from 'better-sqlite3';
import type { CountySwitch } from '../core/county-switches.ts';
import type { GoNoGo } from '../core/go-no-go.ts';
import type { PastYearsResult } from '../core/weather/past-years-land.ts';
import type { StateVentilationRule } from '../core/weather/smoke.ts';
import { type ChangeLog, utcSeconds } from './changes.ts';

/** A past-years test as kept, with what changed since the land was read for it, as sentences. */
export interface KeptPastYears {
  madeAt: string;
  changedSince: string[];
  result: PastYearsResult;
}

type SwitchRow = Omit<CountySwitch, 'isOn'> & { isOn: number };
type SmokeRow = Omit<StateVentilationRule, 'isBurningAllowed'> & { isBurningAllowed: number };
type GoNoGoRow = Omit<GoNoGo, 'answers'> & { answers: string };

/** County switches, go/no-go lists and past-years tests. Checks and answers are added, never changed. */
export function burnRepository(db: Database, changes: ChangeLog, now: () => Date) {
  const switches = db.prepare<[], SwitchRow>(
    `SELECT id, state, county, kind, is_on AS isOn, since, checked_by AS checkedBy,
       checked_at AS checkedAt, note
     FROM county_switch WHERE id IN (SELECT max(id) FROM county_switch GROUP BY state, county, kind)
     ORDER BY state, county, kind`,
  );
  const addSwitch = db.prepare(
    `INSERT INTO county_switch (state, county, kind, is_on, since, checked_by, checked_at, note)
     VALUES (@state, @county, @kind, @isOn, @since, @checkedBy, @checkedAt, @note)`,
  );
  const lists = db.prepare<[], GoNoGoRow>(
    `SELECT id, block_id AS blockId, day, answered_by AS answeredBy, recorded_at AS recordedAt, answers, note
     FROM go_no_go ORDER BY id DESC`,
  );
  const addList = db.prepare(
    `INSERT INTO go_no_go (block_id, day, answered_by, recorded_at, answers, note)
     VALUES (@blockId, @day, @answeredBy, @recordedAt, @answers, @note)`,
  );
  const pastYears = db.prepare<[number], { madeAt: string; revision: number; content: string }>(
    'SELECT made_at AS madeAt, revision, content FROM past_years WHERE plan_id = ?',
  );
  const keepPastYears = db.prepare(
    `INSERT INTO past_years (plan_id, made_at, revision, content) VALUES (?, ?, ?, ?)
     ON CONFLICT (plan_id) DO UPDATE SET made_at = excluded.made_at, revision = excluded.revision,
       content = excluded.content`,
  );
  const smokeRules = db.prepare<[], SmokeRow>(
    `SELECT id, state, name, least_m2s AS leastM2s, is_burning_allowed AS isBurningAllowed, note
     FROM smoke_rule ORDER BY state, least_m2s`,
  );
  const saveSmokeRule = db.prepare(
    `INSERT INTO smoke_rule (state, name, least_m2s, is_burning_allowed, note)
     VALUES (@state, @name, @leastM2s, @isBurningAllowed, @note)
     ON CONFLICT (state, least_m2s) DO UPDATE SET name = excluded.name,
       is_burning_allowed = excluded.is_burning_allowed, note = excluded.note`,
  );
  const dropSmokeRule = db.prepare('DELETE FROM smoke_rule WHERE id = ?');
  return {
    /** By state, lowest first. */
    smokeRules: (): StateVentilationRule[] =>
      smokeRules.all().map((row) => ({ ...row, isBurningAllowed: row.isBurningAllowed === 1 })),
    /** One rule a state and lowest ventilation: the same again takes its place. */
    saveSmokeRule: (rule: Omit<StateVentilationRule, 'id'>): void => {
      saveSmokeRule.run({ ...rule, isBurningAllowed: Number(rule.isBurningAllowed) });
    },
    removeSmokeRule: (id: number): void => {
      dropSmokeRule.run(id);
    },
    /** The newest check of each switch of each county. */
    switches: (): CountySwitch[] => switches.all().map((row) => ({ ...row, isOn: row.isOn === 1 })),
    addSwitch: (row: Omit<CountySwitch, 'id' | 'checkedAt'>): void => {
      addSwitch.run({ ...row, isOn: Number(row.isOn), checkedAt: utcSeconds(now) });
    },
    /** Newest first. */
    goNoGoLists: (): GoNoGo[] =>
      lists.all().map((row) => ({ ...row, answers: JSON.parse(row.answers) as GoNoGo['answers'] })),
    addGoNoGo: (list: Omit<GoNoGo, 'id' | 'recordedAt'>): GoNoGo => {
      const recordedAt = utcSeconds(now);
      const answers = JSON.stringify(list.answers);
      const { lastInsertRowid } = addList.run({ ...list, recordedAt, answers });
      return { ...list, id: Number(lastInsertRowid), recordedAt };
    },
    pastYears: (planId: number): KeptPastYears | null => {
      const row = pastYears.get(planId);
      if (!row) return null;
      const { madeAt, revision, content } = row;
      const result = JSON.parse(content) as PastYearsResult;
      return { madeAt, changedSince: changes.since(revision), result };
    },
    keepPastYears: (planId: number, revision: number, result: PastYearsResult): void => {
      keepPastYears.run(planId, utcSeconds(now), revision, JSON.stringify(result));
    },
    clear: (): void => {
      db.exec('DELETE FROM go_no_go');
      db.exec('DELETE FROM county_switch');
    },
  };
}
