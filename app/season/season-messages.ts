import type { ComparedRuns, SeasonFilter, SeasonGroup, SeasonRun, SeasonSide } from '@/lib/season'
import type { SeasonLook, SeasonSeen } from './season-look'

/** What the season's screen asks. */
export interface SeasonQuestion {
  filter: SeasonFilter
  search: string
  /** What runs are grouped by. */
  side: SeasonSide
  /** So many runs are listed. */
  most: number
  /** Two runs by their keys, to be compared. */
  pair: readonly [string | null, string | null]
}

/** A run as it is listed. */
export interface SeasonRow extends Pick<
  SeasonRun,
  | 'meetingId'
  | 'meetingName'
  | 'runId'
  | 'heat'
  | 'at'
  | 'day'
  | 'zone'
  | 'laps'
  | 'timeS'
  | 'place'
  | 'ended'
  | 'bestS'
  | 'meanS'
  | 'canC'
  | 'chargeBackMah'
> {
  key: string
  car: string
  driver: string
  track: string
  pack: string
  tires: string
  /** Percent slower than the median of its track and kind of car. */
  pacePercent: number | null
  /** The texts that have what was searched for. */
  texts: readonly string[]
}

/** With `percents` to two decimals: thousands cross to the screen. */
export interface SeasonGroupRow extends SeasonGroup {
  label: string
}

export interface SeasonChoice {
  id: string
  label: string
  runs: number
}

export interface SeasonPair extends ComparedRuns {
  a: SeasonRow
  b: SeasonRow
}

export interface SeasonAnswer {
  question: SeasonQuestion
  /** Runs known, whatever was asked. */
  known: number
  /** Runs that have what was asked for. */
  found: number
  rows: readonly SeasonRow[]
  groups: readonly SeasonGroupRow[]
  /** For each side what there is to choose, among runs that have the rest of the filter. */
  choices: Readonly<Record<SeasonSide, readonly SeasonChoice[]>>
  /** The first chosen for a comparison, and both once they are. */
  first: SeasonRow | null
  pair: SeasonPair | null
  /** How long the answer took, ms. */
  tookMs: number
}

/** Where a meeting's document is. */
export type MeetingPlace =
  /** In this device's store. */
  | 'stored'
  /** In memory, until the page is closed. */
  | 'held'
  /** On its way from the server. */
  | 'coming'
  /** Not here: there is no network. */
  | 'away'
  /** The server does not have it. */
  | 'gone'

export interface SeasonMeeting {
  meetingId: string
  name: string
  /** ms since the epoch, by this device's clock */
  day: number | null
  place: MeetingPlace
  /** Of its document; null while it is not here. */
  bytes: number | null
  /** Runs of the team, each by its id. */
  runIds: readonly string[]
}

export type SeasonOrder =
  | { kind: 'line'; isOnline: boolean }
  | { kind: 'ask'; n: number; question: SeasonQuestion }
  | { kind: 'keep'; meetingId: string }
  /** `look`: null when nobody looks any more. */
  | { kind: 'look'; key: string; look: SeasonLook | null }

export type SeasonNews =
  | { kind: 'meetings'; meetings: readonly SeasonMeeting[]; isRead: boolean; tookMs: number }
  /** All that is written of the runs has been taken apart, by so much work. */
  | { kind: 'searchable'; tookMs: number }
  | { kind: 'answer'; n: number; answer: SeasonAnswer }
  | { kind: 'seen'; key: string; seen: SeasonSeen }
  | { kind: 'trouble'; why: string }

/** As JSON: a string crosses at a fraction of what the object costs the screen's thread. */
export const packNews = (news: SeasonNews): string => JSON.stringify(news)
export const readNews = (packed: string): SeasonNews => JSON.parse(packed) as SeasonNews

/** From the question as it is to the next one. */
export type ChangeQuestion = (change: (now: SeasonQuestion) => SeasonQuestion) => void

/** What each part of the season's screen is given. */
export interface SeasonPartProps {
  question: SeasonQuestion
  answer: SeasonAnswer
  set: ChangeQuestion
}
