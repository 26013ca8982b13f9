import type { RunOutcome } from './run-acts'

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

/** An invented, plausible result: thirteen laps in a four-wheel-drive car, twelve in a two-wheel-drive one. */
export function outcomeOf(carId: string, drive: '2wd' | '4wd', carAt: number, roundAt: number): RunOutcome {
  const w = (k: number) => wobble(carAt * 31 + roundAt * 7 + k)
  const four = drive === '4wd'
  return {
    laps: four ? 13 : 12,
    seconds: Number((302 + 16 * w(1)).toFixed(3)),
    position: 1 + Math.floor(6 * w(2)),
    words: WORDS[carId]?.[roundAt] ?? null,
    motorC: Math.round((four ? 70 : 64) + 14 * w(3)),
    controllerC: Math.round(52 + 12 * w(4)),
    chargeBackMah: Math.round((four ? 2700 : 2350) + 400 * w(5)),
    restVoltageV: Number((7.56 + 0.14 * w(6)).toFixed(2)),
  }
}
