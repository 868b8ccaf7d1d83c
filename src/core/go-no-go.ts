import type { IsoDate } from './dates.ts';

export type GoNoGoAnswer = 'yes' | 'no' | 'unknown';

export interface GoNoGoQuestion {
  key: string;
  text: string;
}

/**
 * Questions before a burn is lit, in our own words. Content basis: day-of-burn checklist of the Texas forest service,
 * the Minnesota drought question of 2020, and a Missouri report's self-ask list; the order is ours.
 */
export const goNoGoGroups: readonly { name: string; questions: readonly GoNoGoQuestion[] }[] = [
  {
    name: 'Papers',
    questions: [
      {
        key: 'plan',
        text: 'Is there a signed burn plan for this block that has not run out, and is this burn inside it?',
      },
      {
        key: 'permits',
        text: 'Are the permit, the insurance and the notices that the law asks for in hand and on record?',
      },
      { key: 'told', text: 'Were the neighbors and the fire service told today?' },
      {
        key: 'no-ban',
        text: 'Was it checked today that no burn ban, drought stop or smoke rule is in force here?',
      },
    ],
  },
  {
    name: 'Weather',
    questions: [
      {
        key: 'forecast',
        text: 'Is the newest forecast for this spot inside every limit, for the burn and the hours after it?',
      },
      { key: 'on-site', text: 'Do readings taken here and now agree with that forecast?' },
      {
        key: 'no-shift',
        text: 'Is no front, storm or wind shift expected within the safe time of the plan?',
      },
      { key: 'smoke', text: 'Will the smoke lift and drift away from roads, homes and people?' },
      { key: 'moisture', text: 'Is the fuel moisture inside its limits?' },
      { key: 'test-fire', text: 'Did a test fire behave as the plan expects?' },
    ],
  },
  {
    name: 'Ground',
    questions: [
      {
        key: 'lines',
        text: 'Were the lines walked: complete, wide enough, and free of gaps, dead trees and fuel that carries over?',
      },
      {
        key: 'inside',
        text: 'Are people, animals, power lines and buildings in or beside the block seen to?',
      },
      { key: 'slash', text: 'Is the line clear of large piles of cured cedar?' },
    ],
  },
  {
    name: 'People',
    questions: [
      {
        key: 'enough',
        text: 'Are as many trained people here as the plan asks for, rested and equipped?',
      },
      {
        key: 'briefed',
        text: 'Was everyone briefed: jobs, lookouts, ways out, safe spots, radio channel, medical plan, who may stop the burn?',
      },
      { key: 'water', text: 'Does water reach every side, and did the pumps start?' },
      { key: 'on-call', text: 'Can the people and the kit on call come when called?' },
      { key: 'patrol', text: 'Is somebody free to patrol tonight and tomorrow?' },
      { key: 'can-say-no', text: 'Does the boss feel free to say no?' },
      {
        key: 'in-time',
        text: 'Will the fire be finished before the time the law or the plan sets?',
      },
    ],
  },
];

export const goNoGoQuestions: readonly GoNoGoQuestion[] = goNoGoGroups.flatMap(
  ({ questions }) => questions,
);

/** A list as a named person answered it; kept with the work log, never changed. */
export interface GoNoGo {
  id: number;
  blockId: number;
  day: IsoDate;
  answeredBy: string;
  /** UTC, `YYYY-MM-DDTHH:MM:SSZ`. */
  recordedAt: string;
  answers: Record<string, GoNoGoAnswer>;
  note: string;
}

/** Questions that stop the burn: answered no, not known, or not at all. Empty is still no leave to burn. */
export function goNoGoStops(answers: Readonly<Record<string, GoNoGoAnswer>>): GoNoGoQuestion[] {
  return goNoGoQuestions.filter(({ key }) => answers[key] !== 'yes');
}
