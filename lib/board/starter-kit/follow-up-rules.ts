export interface StarterFollowUpRule {
  id: string
  name: string
  /** Card parameters, `esc.*`, or a `KIT_TRIGGERS` name. */
  triggers: readonly string[]
  checklistId?: string
  caution?: string
  closedBy?: 'read-back'
}

const UNPLUG = 'Pack unplugged while fingers are near gears.'
const WHEELS = 'Wheels can spin up without warning: car on a stand, hands away from wheels and gears.'

/**
 * What a change disturbs, as rules that a team edits. Every one of them is common practice, no source: no standard lists them, and a team's
 * own car may need fewer or more.
 */
export const STARTER_FOLLOW_UP_RULES: readonly StarterFollowUpRule[] = [
  {
    id: 'recalibrate',
    name: 'Recalibrate the speed control',
    triggers: ['motor', 'controller', 'throttleEndPoint', 'brakeEndPoint', 'throttleTrim'],
    checklistId: 'calibration',
    caution: WHEELS,
  },
  { id: 'gear-mesh', name: 'Re-set the gear mesh', triggers: ['pinion', 'spur', 'motor'], caution: UNPLUG },
  {
    id: 'rollout',
    name: 'Check the rollout against the card',
    triggers: ['pinion', 'spur', 'motor', 'tireDiameter'],
  },
  {
    id: 'slipper',
    name: 'Re-set the slipper clutch and try it',
    triggers: ['spur', 'slipper'],
    caution: WHEELS,
  },
  {
    id: 'power-cycle',
    name: 'Power cycle, then read the changed values back',
    triggers: ['esc.*', 'controller'],
    closedBy: 'read-back',
    caution: WHEELS,
  },
  {
    id: 'cutoff',
    name: 'Check that the low-voltage cutoff fits the pack and is on',
    triggers: ['pack', 'controller'],
    caution:
      'A lithium pack that is run flat is ruined and can burn when charged again. Its maker’s limits come first.',
  },
  { id: 'wheel-nuts', name: 'Check the wheel nuts', triggers: ['tires', 'tireFront', 'tireRear'] },
  {
    id: 'ride-height',
    name: 'Check the ride height, ready to run',
    triggers: [
      'tires',
      'tireFront',
      'tireRear',
      'tireDiameter',
      'springFront',
      'springRear',
      'oilFront',
      'oilRear',
      'pack',
      'packPosition',
      'ballast',
      'ballastPlace',
      'kickUp',
      'antiSquat',
    ],
  },
  { id: 'droop', name: 'Check the droop', triggers: ['rideHeightFront', 'rideHeightRear'] },
  {
    id: 'camber-toe',
    name: 'Check camber and toe',
    triggers: ['rideHeightFront', 'rideHeightRear', 'caster', 'kickUp', 'antiSquat'],
  },
  {
    id: 'dampers',
    name: 'Bleed the dampers; left and right must rebound the same',
    triggers: ['oilFront', 'pistonFront', 'oilRear', 'pistonRear'],
  },
  {
    id: 'anti-roll-bar',
    name: 'Anti-roll bar moves freely and lifts both sides the same',
    triggers: ['antiRollBarFront', 'antiRollBarRear'],
  },
  {
    id: 'differential',
    name: 'Differential turns smoothly and does not leak',
    triggers: ['diffFront', 'diffCentre', 'diffRear'],
    caution: UNPLUG,
  },
  {
    id: 'weight',
    name: 'Weigh the car ready to run against the class minimum',
    triggers: ['pack', 'motor', 'ballast', 'body', 'wing'],
  },
  {
    id: 'steering',
    name: 'Check that the car runs straight and nothing binds at full lock',
    triggers: ['steeringTrim', 'steeringDualRate', 'toeFront'],
  },
  {
    id: 'brake-test',
    name: 'Try the brake',
    triggers: ['brake', 'brakeEndPoint'],
    caution: WHEELS,
  },
  {
    id: 'clearance',
    name: 'Check that tires and body clear at full lock and full travel',
    triggers: ['tires', 'body'],
  },
]
