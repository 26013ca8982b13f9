/** Where an input's value comes from. `assumed` is a default of common practice: nobody measured it on this car. */
export type InputSource = 'card' | 'kit' | 'run' | 'conditions' | 'track' | 'rules' | 'assumed'

/**
 * Everything a projection can rest on. `measure` says how its uncertainty gets smaller. Units are those in which a team reads the thing; the
 * conversion to SI happens in one place (`projections-car.ts`).
 */
export const INPUTS = {
  pinion: { label: 'Pinion', unit: 't', measure: 'Count the teeth.' },
  spur: { label: 'Spur', unit: 't', measure: 'Count the teeth.' },
  internalRatio: {
    label: 'Internal ratio',
    unit: '',
    measure: 'Get it from the car’s manual, or turn the spur by hand and count wheel turns.',
  },
  tireDiameterMm: {
    label: 'Driven tire diameter',
    unit: 'mm',
    measure: 'Measure it on the car, loaded, with calipers; better, roll out ten turns along a tape.',
  },
  massG: { label: 'Weight ready to run', unit: 'g', measure: 'Put the car on the scale with pack and body.' },
  frontSharePercent: { label: 'Front weight share', unit: '%', measure: 'Weigh front and rear wheels.' },
  wheelbaseMm: { label: 'Wheelbase', unit: 'mm', measure: 'Measure between the axles.' },
  cgHeightMm: {
    label: 'Center of gravity height',
    unit: 'mm',
    measure: 'Weigh with the rear axle raised (Tools, corner weights).',
  },
  grip: {
    label: 'Grip',
    unit: '',
    measure: 'Fit it to a measured lap, and enter the day’s grip under Conditions, on the track’s page.',
  },
  rolling: {
    label: 'Rolling coefficient',
    unit: '',
    measure: 'Coast down from a known speed on this surface.',
  },
  dragAreaM2: {
    label: 'Drag area',
    unit: 'm²',
    measure: 'Compare top speeds of two gearings on a long straight.',
  },
  efficiency: {
    label: 'Drive efficiency',
    unit: '',
    measure: 'Compare measured and projected top speed after the motor’s no-load run.',
  },
  wheelInertiaGM2: {
    label: 'Inertia of one wheel',
    unit: 'g·m²',
    measure: 'Weigh a wheel; inertia is about 0.6 m r².',
  },
  kv: {
    label: 'Motor Kv',
    unit: 'rpm/V',
    measure: 'Short no-load run at a known voltage: rpm divided by volts less current times resistance.',
  },
  motorMilliohm: {
    label: 'Motor resistance',
    unit: 'mΩ',
    measure: 'Measure it with four wires at a known current.',
  },
  noLoadA: { label: 'No-load current', unit: 'A', measure: 'Read it in the short no-load run.' },
  rotorGCm2: { label: 'Rotor inertia', unit: 'g·cm²', measure: 'Get it from the maker’s sheet.' },
  motorTimingDeg: { label: 'Motor timing (can)', unit: '°', measure: 'Read the mark on the can.' },
  kvTimingDeg: {
    label: 'Timing at which Kv was measured',
    unit: '°',
    measure: 'Enter the timing of the no-load reading on the motor’s page.',
  },
  advanceGain: {
    label: 'Kv gained per degree',
    unit: '%/°',
    measure: 'Two no-load readings at two timings, on the motor’s page.',
  },
  controllerMilliohm: {
    label: 'Speed control resistance',
    unit: 'mΩ',
    measure: 'Get it from the maker’s sheet.',
  },
  currentLimitA: { label: 'Current limit', unit: 'A', measure: 'Read it back from the speed control.' },
  boostDeg: { label: 'Boost', unit: '°', measure: 'Read it back.' },
  boostStartRpm: { label: 'Boost from', unit: 'rpm', measure: 'Read it back.' },
  boostEndRpm: { label: 'Boost to', unit: 'rpm', measure: 'Read it back.' },
  turboDeg: { label: 'Turbo', unit: '°', measure: 'Read it back.' },
  turboDelayS: { label: 'Turbo delay', unit: 's', measure: 'Read it back.' },
  turboRampDegPerS: { label: 'Turbo ramp', unit: '°/s', measure: 'Read it back.' },
  cutoffV: { label: 'Low-voltage cutoff', unit: 'V/cell', measure: 'Read it back.' },
  cells: { label: 'Cells', unit: '', measure: 'Count them.' },
  capacityMah: {
    label: 'Pack capacity',
    unit: 'mAh',
    measure: 'Note the charge put back after a run down to a known voltage.',
  },
  packMilliohm: {
    label: 'Pack resistance',
    unit: 'mΩ',
    measure: 'Read it from the charger, and enter the pack’s temperature with it.',
  },
  leadsMilliohm: {
    label: 'Leads and plugs',
    unit: 'mΩ',
    measure: 'Measure the drop over the leads at a known current.',
  },
  stateOfChargePercent: {
    label: 'State of charge at the start',
    unit: '%',
    measure: 'Read the rested pack’s voltage when it goes in.',
  },
  accessoryA: {
    label: 'Servo, receiver and fan, mean',
    unit: 'A',
    measure: 'Clamp the receiver’s lead while steering, and take the mean, not the peak.',
  },
  rollingPerSpeed: {
    label: 'Rise of the rolling coefficient per m/s',
    unit: '',
    measure: 'Coast down from two speeds on this surface.',
  },
  bumpsN: {
    label: 'Force of the rough ground',
    unit: 'N',
    measure: 'Compare what the charger puts back on this track and on a smooth one.',
  },
  peakSlipPercent: {
    label: 'Wheel slip at the grip’s limit',
    unit: '%',
    measure: 'Compare wheel speed and ground speed under power.',
  },
  peakAngleDeg: {
    label: 'Slip angle at the grip’s limit',
    unit: '°',
    measure: 'Nobody measures it at the track: charge put back narrows it with the rest.',
  },
  drivelineMNm: {
    label: 'Torque of the driveline alone',
    unit: 'mNm',
    measure:
      'Wheels up at full throttle, on a stand: enter current and rpm on the car’s page, and the motor’s no-load reading on its own.',
  },
  liftAreaCm2: {
    label: 'Downforce area',
    unit: 'cm²',
    measure: 'Weigh the axles in a wind, or leave it: it matters little.',
  },
  rippleFactor: {
    label: 'Ripple of the motor current',
    unit: '',
    measure: 'A current clamp with a scope: mean of the squares over square of the mean.',
  },
  noLoadSpeedPercent: {
    label: 'No-load current that goes with speed',
    unit: '%',
    measure: 'Two no-load readings at two voltages.',
  },
  noLoadRise: {
    label: 'Rise of the no-load loss per degree of timing',
    unit: '%/°',
    measure: 'Two no-load readings at two timings, on the motor’s page.',
  },
  freewheelV: {
    label: 'Volts lost at part throttle',
    unit: 'V',
    measure: 'Wheels up at half throttle: rpm against full throttle’s.',
  },
  slowShortMilliohm: {
    label: 'Pack’s sag within half a minute',
    unit: 'mΩ',
    measure: 'Log the pack’s voltage after a known load stops.',
  },
  slowLongMilliohm: {
    label: 'Pack’s sag within minutes',
    unit: 'mΩ',
    measure: 'Read the pack right after a run, and again after five minutes.',
  },
  exitTriggerPercent: {
    label: 'Full trigger out of corners while the tires spin',
    unit: '% of the time',
    measure: 'Ask the driver, or look at the trigger’s record of a clean lap.',
  },
  brakeReturnPercent: {
    label: 'Braking energy that goes back into the pack',
    unit: '%',
    measure: 'Compare what the charger puts back after a run with many brakings and one with few.',
  },
  warmUpLaps: {
    label: 'Warm-up before the race',
    unit: 'easy laps',
    measure: 'Count them.',
  },
  toGridLaps: {
    label: 'Drive to the grid',
    unit: 'easy laps',
    measure: 'Count them, as parts of a lap.',
  },
  afterFlagLaps: {
    label: 'After the finish',
    unit: 'easy laps',
    measure: 'Count them, as parts of a lap.',
  },
  easyLapPercent: {
    label: 'Charge of an easy lap',
    unit: '% of a race lap',
    measure: 'Drive ten easy laps on a full pack and note what the charger puts back.',
  },
  airC: { label: 'Air temperature', unit: '°C', measure: 'Enter it under Conditions, on the track’s page.' },
  windingToCanKPerW: {
    label: 'Winding to can',
    unit: 'K/W',
    measure: 'Read the can right after runs of known length, and again as it cools.',
  },
  canToAirKPerW: {
    label: 'Can to air',
    unit: 'K/W',
    measure: 'Read the can right after runs of known length, and again as it cools.',
  },
  canJPerK: {
    label: 'Can’s heat capacity',
    unit: 'J/K',
    measure: 'Read the can every minute while it cools: its time constant divided by can to air.',
  },
  trackScalePercent: {
    label: 'Length of the track as drawn',
    unit: '%',
    measure: 'Measure the racing line with a wheel.',
  },
} as const

export type InputId = keyof typeof INPUTS

export interface ProjectionInput {
  id: InputId
  value: number
  /** One standard deviation, in the input's unit. 0 is taken as exact. Common practice, no source, unless measured. */
  sd: number
  source: InputSource
  /** The team's own label of the value, where it is one of the car's speed control. */
  label?: string
}

/** What an input is called: the team's own label where there is one. */
export const inputLabel = (id: InputId, inputs: readonly ProjectionInput[]): string =>
  inputs.find((i) => i.id === id)?.label ?? INPUTS[id].label

export type InputValues = Partial<Record<InputId, number>>
