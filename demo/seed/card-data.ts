import type { Setting } from '@/lib/board'
import { DEMO_CARS, DEMO_TIRES } from './kit-data'
import { SLUICE_BASE, WITHY_BASE } from './controller-data'

export type CardData = Readonly<Record<string, Setting>>

const SHARED: CardData = {
  motorTiming: 20,
  springFront: 780,
  oilFront: 450,
  pistonFront: '2 holes 1.6 mm',
  rideHeightFront: 22,
  droopFront: 27,
  camberFront: -1.5,
  toeFront: -0.5,
  antiRollBarFront: 1.2,
  springRear: 430,
  oilRear: 375,
  pistonRear: '2 holes 1.7 mm',
  rideHeightRear: 22,
  droopRear: 29,
  camberRear: -1.5,
  toeRear: 3,
  antiRollBarRear: 1.3,
  insert: 'closed cell, medium',
  startVoltage: 8.39,
  body: 'trimmed low, vent open',
  ballastPlace: 'under the electronics',
  steeringDualRate: 88,
  steeringExpo: -10,
  throttleExpo: 0,
  throttleEndPoint: 104,
  brakeEndPoint: 97,
  throttleTrim: 0,
  steeringTrim: 0,
  brake: 92,
}
const FOUR: CardData = {
  ...SHARED,
  spur: 82,
  diffFront: 10000,
  diffRear: 5000,
  slipper: 2.25,
  caster: 10,
  kickUp: 8,
  antiSquat: 2,
  tireFront: 'low pin, soft',
  tireRear: 'low pin, soft',
  packPosition: 'middle',
  wing: '7 mm lip',
  ballast: 25,
}
const TWO: CardData = {
  ...SHARED,
  spur: 78,
  springFront: 620,
  oilFront: 400,
  springRear: 400,
  oilRear: 350,
  diffRear: 7000,
  slipper: 2,
  caster: 5,
  kickUp: 25,
  antiSquat: 1.5,
  tireFront: 'ribbed, soft',
  tireRear: 'mini pin, soft',
  packPosition: 'behind the middle',
  wing: '10 mm lip',
  ballast: 15,
}

/** What each car's card says when the day begins, where it departs from its drive's base; speed-control values without their prefix. */
const OWN: Readonly<Record<string, { card: CardData; control: Readonly<Record<string, number>> }>> = {
  rook: { card: { pinion: 21 }, control: { 'withy-turbo-wait': 700, 'withy-turbo-top': 10.5 } },
  wren: { card: { pinion: 24, camberRear: -1 }, control: { 'withy-roll-brake': 11.5, 'withy-rise': 475 } },
  heron: { card: { pinion: 21, diffCentre: 20000, springRear: 440 }, control: { 'sluice-coast': 10 } },
  plover: { card: { pinion: 24, antiSquat: 2 }, control: { 'sluice-rate': 5, 'sluice-coast': 12 } },
  kestrel: { card: { pinion: 18, oilFront: 475 }, control: { 'withy-turbo-top': 4.5, 'withy-rise': 425 } },
  dunlin: { card: { pinion: 24, springRear: 390 }, control: { 'sluice-calm': 30, 'sluice-coast': 9 } },
  curlew: {
    card: { pinion: 23, rideHeightFront: 22.5 },
    control: { 'withy-speed-top': 6, 'withy-roll-brake': 6 },
  },
  siskin: { card: { pinion: 27, oilRear: 325 }, control: { 'sluice-rpm-advance': 6, 'sluice-brake': 80 } },
}

/** The whole card of a car at the start of the day: parameter id to value. */
export function cardAtStart(carId: string): CardData {
  const car = DEMO_CARS.find((c) => c.id === carId)
  const own = OWN[carId]
  const set = DEMO_TIRES.find((t) => t.id === DEMO_TIRE_OF[carId])
  // A center differential takes the slipper clutch's place.
  const base = Object.entries(car?.drive === '4wd' ? FOUR : TWO).filter(
    ([id]) => id !== 'slipper' || own?.card['diffCentre'] === undefined,
  )
  const control = { ...(car?.controllerId === 'withy' ? WITHY_BASE : SLUICE_BASE), ...own?.control }
  return {
    ...Object.fromEntries(base),
    tireDiameter: set?.diameterMm ?? 83,
    weight: car?.weightG ?? 1600,
    ...own?.card,
    ...Object.fromEntries(Object.entries(control).map(([id, v]) => [`esc.${id}`, v])),
  }
}

/** The tire set that each car runs in the first two rounds. */
export const DEMO_TIRE_OF: Readonly<Record<string, string>> = {
  rook: 't01',
  heron: 't02',
  kestrel: 't03',
  curlew: 't04',
  wren: 't05',
  plover: 't06',
  dunlin: 't07',
  siskin: 't08',
}
/** What each car ran on at the meetings before. */
export const DEMO_WORN_TIRE_OF: Readonly<Record<string, string>> = {
  rook: 't15',
  heron: 't16',
  kestrel: 't17',
  curlew: 't18',
  wren: 't19',
  plover: 't20',
  dunlin: 't21',
  siskin: 't22',
}
