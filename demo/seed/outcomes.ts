import type { DemoRemark, RunOutcome } from './run-acts'

/** Small made-up differences, the same on every seeding: a value from 0 to 1 for each number. */
const wobble = (n: number): number => {
  const x = Math.sin(n * 12.9898) * 43758.5453
  return x - Math.floor(x)
}

/** What drivers said; by car, round by round. */
const WORDS: Readonly<Record<string, readonly (string | null)[]>> = {
  rook: [
    'Pushes on power out of the Sluice hairpin. Good over the Washboard. Turbo comes late on the Back straight.',
    'Better in the long corners, still short of gear on the Seawall straight.',
    null,
  ],
  wren: ['Rear steps out on the brakes into Reed corner.', 'Calmer on the brakes. Leave it.', null],
  heron: ['Lands nose down off the Triple.', null, 'Fine at last.'],
  plover: ['Slow to turn in the Inner hairpin, easy everywhere else.', null, 'Good.'],
  kestrel: ['Too much punch when the track dries, one spin at Gull corner.', 'Softer, faster.', null],
  dunlin: [null, 'Drag brake a little weak now that the grip has come up.', null],
  curlew: ['Motor hot to the touch, power fading in the last minute?', null, 'Stronger at the end.'],
  siskin: ['Bounces over the Washboard.', 'Less bounce.', null],
}

/** What drivers tapped: a word of the starter list, the piece of the demo's track, the part of it. By car, round by round. */
const REMARKS: Readonly<Record<string, readonly (DemoRemark | null)[]>> = {
  rook: [{ wordId: 'word-pushes', place: 'Sluice hairpin', phase: 'exit', strength: 3 }, null, null],
  wren: [{ wordId: 'word-brakes-lock', place: 'Reed corner', phase: 'entry', strength: 2 }, null, null],
  heron: [{ wordId: 'word-nose-down', place: 'Triple', strength: 2 }, null, null],
  plover: [{ wordId: 'word-lazy', place: 'Inner hairpin', phase: 'entry', strength: 2 }, null, null],
  kestrel: [{ wordId: 'word-punchy', place: 'Gull corner', phase: 'exit', strength: 3 }, null, null],
}

/** An invented, plausible result: thirteen laps in a four-wheel-drive car, twelve in a two-wheel-drive one. */
export function outcomeOf(carId: string, drive: '2wd' | '4wd', carAt: number, roundAt: number): RunOutcome {
  const w = (k: number) => wobble(carAt * 31 + roundAt * 7 + k)
  const four = drive === '4wd'
  const count = four ? 13 : 12
  const seconds = Number((302 + 16 * w(1)).toFixed(3))
  const driven = lapsOf(count, seconds, w)
  return {
    laps: count,
    seconds,
    position: 1 + Math.floor(6 * w(2)),
    words: WORDS[carId]?.[roundAt] ?? null,
    motorC: Math.round((four ? 66 : 64) + 14 * w(3)),
    controllerC: Math.round(52 + 12 * w(4)),
    chargeBackMah: Math.round((four ? 2700 : 2350) + 400 * w(5)),
    restVoltageV: Number((7.56 + 0.14 * w(6)).toFixed(2)),
    packC: Math.round(36 + 8 * w(7)),
    ...driven,
    feel: 2 + Math.round(2.4 * w(8)),
    remark: REMARKS[carId]?.[roundAt] ?? null,
  }
}

/** Laps that add up to the result: a slow first one, small differences, and a crash in every other run. */
function lapsOf(
  count: number,
  seconds: number,
  w: (k: number) => number,
): Pick<RunOutcome, 'lapList' | 'crashLap' | 'bestLapS'> {
  const crashLap = w(9) > 0.5 ? 3 + Math.floor((count - 4) * w(10)) : null
  const extra = (lap: number) => (lap === 1 ? 1.4 : 0) + (lap === crashLap ? 4.5 + 4 * w(11) : 0)
  const shares = Array.from({ length: count }, (_, i) => extra(i + 1) + 0.7 * (w(20 + i) - 0.5))
  const base = (seconds - shares.reduce((a, b) => a + b, 0)) / count
  const lapList = shares.slice(0, -1).map((s) => Number((base + s).toFixed(3)))
  lapList.push(Number((seconds - lapList.reduce((a, b) => a + b, 0)).toFixed(3)))
  return { lapList, crashLap, bestLapS: Math.min(...lapList) }
}
