import type { TrackSegment } from '@/lib/board'
import { TRACK_ID } from '../seed/kit-acts'
import { DEMO_SEGMENTS } from '../seed/kit-data'
import type { DemoRemark } from '../seed/run-acts'

/** Where the team raced before: invented, as everything here is. */
export interface SeasonTrack {
  id: string
  name: string
  surface: 'clay' | 'carpet' | 'astroturf'
  grip: number
  segments: readonly TrackSegment[]
  note: string
}

const straight = (name: string, lengthM: number, grip: number): TrackSegment => ({
  kind: 'straight',
  name,
  lengthM,
  grip,
})
const corner = (
  name: string,
  radiusM: number,
  arcDegrees: number,
  turn: 'left' | 'right',
  grip: number,
): TrackSegment => ({ kind: 'corner', name, radiusM, arcDegrees, turn, grip })

export const SEASON_TRACKS: readonly SeasonTrack[] = [
  {
    id: 'loomshed',
    name: 'Loomshed',
    surface: 'carpet',
    grip: 1.25,
    segments: [
      straight('Long wall', 38, 1.25),
      corner('Door hairpin', 2.2, 180, 'left', 1.25),
      straight('Ramp', 14, 1.2),
      corner('Pillar', 2.6, 95, 'right', 1.25),
      straight('Short side', 12, 1.25),
      corner('Window hairpin', 2.1, 175, 'left', 1.25),
      straight('Bridge', 19, 1.2),
      corner('Last bend', 3.2, 100, 'left', 1.25),
    ],
    note: 'Indoors, on carpet. The Ramp lands short of the Pillar.',
  },
  {
    id: 'marlpit',
    name: 'Marlpit',
    surface: 'astroturf',
    grip: 1,
    segments: [
      straight('Rim straight', 38, 1),
      corner('Pond hairpin', 4, 175, 'right', 1),
      straight('Double', 17, 1),
      corner('Alder bend', 5, 110, 'left', 1),
      straight('Ruts', 12, 1),
      corner('Low hairpin', 3.2, 180, 'right', 1),
      straight('Back of the pit', 24, 1),
      corner('Gate', 4.5, 115, 'right', 1),
    ],
    note: 'Outdoors, on artificial turf; slow to dry after rain.',
  },
  {
    id: TRACK_ID,
    name: 'Saltmarsh Bowl',
    surface: 'clay',
    grip: 0.95,
    segments: DEMO_SEGMENTS,
    note: '',
  },
]

export interface SeasonMeeting {
  id: string
  name: string
  trackId: string
  daysBefore: number
  /** When its first heat starts, hour of the day. */
  firstHour: number
  airC: number
  trackC: number
  grip: number
  weather: string
  /** Teeth that each car ran, round by round, against those of its card today. */
  teeth: Readonly<Record<string, readonly [number, number, number]>>
  /** What drivers wrote and tapped; by car, round by round. */
  said: Readonly<Record<string, readonly (SaidThen | null)[]>>
  note: string
}
export interface SaidThen {
  words?: string
  remark?: DemoRemark
}

const rear = (place: string, strength: 1 | 2 | 3): DemoRemark => ({
  wordId: 'word-loose',
  place,
  phase: 'entry',
  strength,
})

export const SEASON_MEETINGS: readonly SeasonMeeting[] = [
  {
    id: 'loomshed-night-race',
    name: 'Loomshed Night Race',
    trackId: 'loomshed',
    daysBefore: 150,
    firstHour: 16,
    airC: 19,
    trackC: 20,
    grip: 1.25,
    weather: 'Heated hall, grip came up all evening.',
    teeth: {
      rook: [-7, -6, -6],
      wren: [-6, -6, -5],
      heron: [-4, -4, -5],
      plover: [-5, -4, -4],
      kestrel: [-3, -3, -3],
      dunlin: [-5, -5, -5],
      curlew: [-5, -4, -4],
      siskin: [-5, -4, -4],
    },
    said: {
      rook: [
        {
          words: 'Loose on entry at the Door hairpin, fine once it is on power.',
          remark: rear('Door hairpin', 3),
        },
        { words: 'One tooth more pulls down the Long wall, but the can is far too hot: open the vent.' },
        null,
      ],
      wren: [{ words: 'Traction rolls at the Pillar when I hurry.' }, null, { words: 'Good. Keep it.' }],
      kestrel: [null, { words: 'Motor smells warm after five minutes.' }, null],
      siskin: [
        { remark: { wordId: 'word-lazy', place: 'Window hairpin', phase: 'middle', strength: 2 } },
        null,
        null,
      ],
    },
    note: 'Doors close at ten. Bring the short benches, the pit is narrow.',
  },
  {
    id: 'marlpit-open',
    name: 'Marlpit Open',
    trackId: 'marlpit',
    daysBefore: 112,
    firstHour: 10,
    airC: 16,
    trackC: 18,
    grip: 0.97,
    weather: 'Windy, a shower before the second round.',
    teeth: {
      rook: [-1, 0, 0],
      wren: [0, 0, -1],
      heron: [-1, -1, 0],
      plover: [0, -1, -1],
      kestrel: [0, 0, -1],
      dunlin: [-1, 0, 0],
      curlew: [-1, -1, -1],
      siskin: [0, -1, -1],
    },
    said: {
      rook: [
        null,
        { words: 'Loose on entry everywhere once it was wet.', remark: rear('Pond hairpin', 3) },
        null,
      ],
      wren: [
        { remark: { wordId: 'word-loose', place: 'Low hairpin', phase: 'exit', strength: 2 } },
        { words: 'Softer rear spring helped over the Ruts.' },
        null,
      ],
      heron: [{ words: 'Bottoms in the Ruts.' }, null, null],
      dunlin: [null, null, { words: 'Best run of the day, nothing to change.' }],
    },
    note: 'No power in the pit before eight. The generator is loud: bring the long cable.',
  },
  {
    id: 'saltmarsh-opening-round',
    name: 'Saltmarsh Opening Round',
    trackId: TRACK_ID,
    daysBefore: 76,
    firstHour: 10,
    airC: 15,
    trackC: 19,
    grip: 0.93,
    weather: 'Cool and damp, the clay held water all day.',
    teeth: {
      rook: [-2, -1, 0],
      wren: [-1, -1, 0],
      heron: [-1, -1, -1],
      plover: [-1, 0, 0],
      kestrel: [-1, 0, 0],
      dunlin: [0, 0, -1],
      curlew: [-2, -1, -1],
      siskin: [-1, -1, 0],
    },
    said: {
      rook: [{ words: 'Safe, a little slow on the Seawall straight.' }, null, { words: 'Geared right now.' }],
      plover: [
        { words: 'Loose on entry into Reed corner when I brake late.', remark: rear('Reed corner', 2) },
        null,
        null,
      ],
      curlew: [null, { remark: { wordId: 'word-bottoms', place: 'Washboard', strength: 2 } }, null],
    },
    note: 'Parking is on the dyke, carry everything over the bridge.',
  },
]

export const ROUNDS = 3
/** One of a car's races of the season: `meetingId/carId/round`, rounds from 1. */
export const raceKey = (meetingId: string, carId: string, round: number): string =>
  `${meetingId}/${carId}/${round}`
