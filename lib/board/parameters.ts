import type { BoardView } from './board-view'
import type { Quantity } from './quantities'

/** The groups of a setup card, in the order in which a mechanic works through a car. */
export const CARD_GROUPS = [
  { id: 'drive', name: 'Drive' },
  { id: 'control', name: 'Speed control' },
  { id: 'front', name: 'Front suspension' },
  { id: 'rear', name: 'Rear suspension' },
  { id: 'tires', name: 'Tires' },
  { id: 'pack', name: 'Pack' },
  { id: 'body', name: 'Body and ballast' },
  { id: 'radio', name: 'Radio' },
] as const
export type CardGroup = (typeof CARD_GROUPS)[number]['id']

/** One value a card can hold. */
export interface CardParameter {
  /** As in `carId.<id>`; speed-control parameters are `esc.<parameterId>`. */
  id: string
  group: CardGroup
  label: string
  unit: string
  kind: 'number' | 'text'
  min?: number
  max?: number
  step?: number
  /** A controller value: fitted is not enough, it must be read back after a power cycle. */
  needsReadBack: boolean
  /** For speed-control parameters: the common quantity and the factor into its unit. */
  quantity?: Quantity
  scale?: number
}

const num = (
  group: CardGroup,
  id: string,
  label: string,
  unit: string,
  min: number,
  max: number,
  step: number,
): CardParameter => ({
  id,
  group,
  label,
  unit,
  kind: 'number',
  min,
  max,
  step,
  needsReadBack: false,
})
const txt = (group: CardGroup, id: string, label: string): CardParameter => ({
  id,
  group,
  label,
  unit: '',
  kind: 'text',
  needsReadBack: false,
})

const axle = (group: 'front' | 'rear', suffix: 'Front' | 'Rear'): CardParameter[] => [
  num(group, `spring${suffix}`, 'Spring rate', 'N/m', 10, 5000, 1),
  num(group, `oil${suffix}`, 'Damper oil', 'cSt', 50, 20000, 25),
  txt(group, `piston${suffix}`, 'Piston'),
  num(group, `rideHeight${suffix}`, 'Ride height', 'mm', 5, 60, 0.5),
  num(group, `droop${suffix}`, 'Droop', 'mm', 0, 60, 0.5),
  num(group, `camber${suffix}`, 'Camber', '°', -10, 10, 0.5),
  num(group, `toe${suffix}`, 'Toe', '°', -10, 10, 0.5),
  num(group, `antiRollBar${suffix}`, 'Anti-roll bar', 'mm', 0, 5, 0.1),
]

/** The values every car has. Ranges are wide sanity limits, not advice: common practice, no source. */
export const CAR_PARAMETERS: readonly CardParameter[] = [
  num('drive', 'pinion', 'Pinion', 't', 8, 60, 1),
  num('drive', 'spur', 'Spur', 't', 30, 140, 1),
  num('drive', 'motorTiming', 'Motor timing (can)', '°', 0, 70, 1),
  num('drive', 'diffFront', 'Front differential oil', 'cSt', 100, 1000000, 100),
  num('drive', 'diffCentre', 'Center differential oil', 'cSt', 100, 1000000, 100),
  num('drive', 'diffRear', 'Rear differential oil', 'cSt', 100, 1000000, 100),
  num('drive', 'slipper', 'Slipper clutch, turns out', 'turn', 0, 10, 0.125),
  ...axle('front', 'Front'),
  num('front', 'caster', 'Caster', '°', -5, 40, 0.5),
  num('front', 'kickUp', 'Kick-up', '°', -5, 40, 0.5),
  ...axle('rear', 'Rear'),
  num('rear', 'antiSquat', 'Anti-squat', '°', -5, 15, 0.25),
  txt('tires', 'tireFront', 'Front tire'),
  txt('tires', 'tireRear', 'Rear tire'),
  txt('tires', 'insert', 'Insert'),
  num('tires', 'tireDiameter', 'Driven tire diameter', 'mm', 40, 150, 0.1),
  txt('pack', 'packPosition', 'Pack position'),
  num('pack', 'startVoltage', 'Voltage at staging', 'V', 1, 30, 0.01),
  txt('body', 'body', 'Body'),
  txt('body', 'wing', 'Wing'),
  num('body', 'ballast', 'Ballast', 'g', 0, 1000, 1),
  txt('body', 'ballastPlace', 'Ballast place'),
  num('body', 'weight', 'Weight ready to run', 'g', 500, 5000, 1),
  num('radio', 'steeringDualRate', 'Steering dual rate', '%', 0, 150, 1),
  num('radio', 'steeringExpo', 'Steering expo', '%', -100, 100, 1),
  num('radio', 'throttleExpo', 'Throttle expo', '%', -100, 100, 1),
  num('radio', 'throttleEndPoint', 'Throttle end point', '%', 0, 150, 1),
  num('radio', 'brakeEndPoint', 'Brake end point', '%', 0, 150, 1),
  num('radio', 'throttleTrim', 'Throttle trim', '', -100, 100, 1),
  num('radio', 'steeringTrim', 'Steering trim', '', -100, 100, 1),
  num('radio', 'brake', 'Brake at the transmitter', '%', 0, 150, 1),
]
const BY_ID = new Map(CAR_PARAMETERS.map((p) => [p.id, p]))

/**
 * Changes that are not on the card but in the kit or the run, as triggers of follow-up rules beside the card's parameters: another motor or
 * speed control (`cars.motorId`, `cars.controllerId`), another tire set than before on the car (`runs.tiresOn`), and a pack of another type
 * (cells, capacity or weight) than the one before in the car (`runs.packIn`).
 */
export const KIT_TRIGGERS = ['motor', 'controller', 'tires', 'pack'] as const
export type KitTrigger = (typeof KIT_TRIGGERS)[number]

export const escParameterId = (controllerParameterId: string): string => `esc.${controllerParameterId}`

/** All values this car's card can hold: the common ones, and its speed control's own list. */
export function parametersOf(
  view: Pick<BoardView, 'cars' | 'controllerParameters'>,
  carId: string,
): readonly CardParameter[] {
  const controllerId = view.cars.get(carId)?.controllerId ?? ''
  const lists = view.controllerParameters.live
  const own = lists.filter((p) => controllerId !== '' && p.controllerId === controllerId)
  const control = own.map((p): CardParameter => ({
    id: escParameterId(p.id),
    group: 'control',
    label: p.label ?? p.id,
    unit: p.unit ?? '',
    kind: 'number',
    min: p.min,
    max: p.max,
    step: p.step,
    needsReadBack: true,
    quantity: p.quantity ?? 'none',
    scale: p.scale ?? 1,
  }))
  return CARD_GROUPS.flatMap((g) =>
    g.id === 'control' ? control : CAR_PARAMETERS.filter((p) => p.group === g.id),
  )
}

export const parameterOf = (view: BoardView, carId: string, parameterId: string): CardParameter | undefined =>
  BY_ID.get(parameterId) ?? parametersOf(view, carId).find((p) => p.id === parameterId)
