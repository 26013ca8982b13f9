/** How far a model may lie from an outside value, and why that far. The only place where a tolerance is set. */
export interface Tolerance {
  /** Share of the outside value. */
  relative?: number
  /** In the row's own unit. */
  absolute?: number
  reason: string
}

export const tolerances = {
  exact: {
    relative: 1e-12,
    reason: 'a definition or whole-number arithmetic: only rounding of doubles may show',
  },
  arithmetic: { relative: 5e-9, reason: 'the outside value is printed to nine digits' },
  nist: { relative: 5e-7, reason: 'factors are printed to seven digits' },
  certified: {
    relative: 1e-9,
    reason: 'certified to 15 digits; the data’s own offset costs doubles about six of them',
  },
  storedDigits: {
    relative: 1e-7,
    reason: 'doubles hold 10000000.2 to 2e-9, which is 2e-8 of this data’s spread of 0.1',
  },
  closedForm: { relative: 1e-6, reason: 'the promise for closed forms; in fact met to about 1e-9' },
  referee: { relative: 1e-8, reason: 'independent integration at 1e-12 against steps held to 1e-9' },
  heat: { relative: 1e-8, reason: 'the exact solution is printed to nine digits' },
  heatEuler: {
    absolute: 0.02,
    reason: 'the publisher steps by Euler at 0.25 s, which lies 0.014 K above the exact solution',
  },
  sixDigits: { relative: 5e-6, reason: 'the published value has six digits' },
  airTable: {
    relative: 0.015,
    reason: 'three digits, and tables of air’s conductivity differ by a percent from each other',
  },
  heatTime: { absolute: 1e-4, reason: 'printed to a tenth of a millisecond' },
  catalogue: {
    relative: 0.005,
    reason: 'catalogue rows are rounded to three digits each, and combine two or three of them',
  },
  catalogueEfficiency: { absolute: 0.006, reason: 'efficiency is printed in whole percent' },
  twoDigitConstant: {
    relative: 0.012,
    reason: 'the sheet gives 43 V/krpm, known to half a unit, which is 1.2% of speed',
  },
  sheetCurrent: { absolute: 0.05, reason: 'current is printed to a tenth of an ampere' },
  windingLaw: {
    relative: 0.055,
    reason:
      'the winding law’s own error, 5.2% of what it says, is 5.5% of the resistance found: insulation takes another share of the slot',
  },
  copperColumn: { relative: 0.006, reason: 'the sheet rounds the hot resistance to two digits' },
  threeDigits: { relative: 0.005, reason: 'the published value has three digits' },
  twoDigits: { relative: 0.05, reason: 'the published value has two digits' },
  forumExample: { relative: 1e-4, reason: 'the worked example rounds between its steps to five digits' },
  chartOcv: {
    absolute: 0.25,
    reason: 'points of charge: a straight line between 5% rows against the curve they were sampled from',
  },
  millimetre: {
    absolute: 1e-6,
    reason: 'weights are printed to 10 micrograms, 4 nanometres of height; a micron is generous',
  },
  normalTable: { absolute: 5e-5, reason: 'tables print four digits; the approximation is good to 7.5e-8' },
  copperRule: {
    relative: 0.006,
    reason: 'the standard’s 234.5 °C rule and 0.393%/K read from 25 °C differ by 0.5%',
  },
  measuredMotor: {
    relative: 0.07,
    reason:
      'measured lines through scattered points: 1/Kv and torque per ampere of one machine differ by up to 6.5%',
  },
  measuredEfficiency: {
    absolute: 0.05,
    reason: 'measured curves are straight lines through scattered points: five points of efficiency',
  },
  steadySpeed: {
    relative: 0.02,
    reason: 'speed, duty and voltage are read to half a percent each, and two of them calibrate',
  },
  steadyCurrent: {
    relative: 0.1,
    reason: 'a floor is no bench: the same speed twice differs by several percent in current',
  },
  steeringDrag: {
    relative: 0.4,
    reason:
      'steering geometry and gears have their part in it, and the grip held for a second was 0.62 to 0.78',
  },
  cellTemperature: {
    relative: 0.3,
    reason: 'cells below 25 °C show 16 to 29 kJ/mol, which over 25 K is a third of the resistance',
  },
  curvePeak: { absolute: 0.015, reason: 'peaks are told to two digits' },
  oneDigit: {
    relative: 0.3,
    reason: 'the published value is told to one digit, and which tires the car has is from memory',
  },
  magnetCurve: {
    absolute: 0.02,
    reason: 'one deviation of the prior’s coefficient over 130 K',
  },
  magnetCoefficient: {
    relative: 0.14,
    reason: 'one deviation of the prior, which holds grades from -0.09 to -0.12%/K',
  },
  windTunnel: {
    relative: 0.1,
    reason: 'the measured value has its own error, and the correlation is told to be good to 20%',
  },
} as const satisfies Record<string, Tolerance>

export type ToleranceName = keyof typeof tolerances

export function withinTolerance(name: ToleranceName, model: number, outside: number): boolean {
  const t: Tolerance = tolerances[name]
  const allowed = Math.max((t.relative ?? 0) * Math.abs(outside), t.absolute ?? 0)
  return Math.abs(model - outside) <= allowed
}
