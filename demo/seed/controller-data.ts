import type { Quantity } from '@/lib/board'

/** [id, label, unit, lowest, highest, step, common quantity, common units per unit] */
type Row = readonly [string, string, string, number, number, number, Quantity, number]

export interface DemoController {
  id: string
  name: string
  resistanceMilliohm: number
  currentLimitA: number
  note: string
  parameters: readonly Row[]
}

/** Two invented makes with lists of their own: other labels, order, units and steps for the same quantities. */
export const DEMO_CONTROLLERS: readonly DemoController[] = [
  {
    id: 'withy',
    name: 'Withy',
    resistanceMilliohm: 0.6,
    currentLimitA: 220,
    note: 'Trigger rise measured on the stand: from nothing to full duty in 1/6 s at 600%/s.',
    parameters: [
      ['withy-roll-brake', 'Rolling brake', '%', 0, 45, 0.5, 'dragBrake', 1],
      ['withy-full-brake', 'Brake at full lever', '%', 10, 100, 2, 'brakeForce', 1],
      ['withy-middle', 'Dead middle', '%', 1, 15, 0.5, 'neutralDeadband', 1],
      ['withy-ease-to', 'Gentle drive up to', '%', 0, 64, 2, 'softeningRange', 1],
      ['withy-ease-by', 'Gentle drive, how much', '%', 0, 72, 3, 'softeningStrength', 1],
      ['withy-rise', 'Trigger rise', '%/s', 100, 2000, 25, 'punchRate', 1],
      ['withy-chop', 'Chopping rate', 'kHz', 3, 27, 2, 'pwmFrequency', 1],
      ['withy-turbo-wait', 'Turbo wait', 'ms', 0, 900, 20, 'turboDelay', 0.001],
      ['withy-turbo-ramp', 'Turbo ramp', '°/s', 15, 420, 15, 'turboRamp', 1],
      ['withy-turbo-top', 'Turbo timing', '°', 0, 33, 1.5, 'turboTiming', 1],
      ['withy-speed-first', 'Speed timing begins', 'rpm', 2000, 26000, 250, 'boostStartRpm', 1],
      ['withy-speed-last', 'Speed timing complete', 'rpm', 6000, 42000, 250, 'boostEndRpm', 1],
      ['withy-speed-top', 'Speed timing', '°', 0, 45, 1, 'boostTiming', 1],
      ['withy-cell', 'Lowest cell voltage', 'V', 2.85, 3.45, 0.05, 'cutoffPerCell', 1],
      ['withy-supply', 'Receiver and servo supply', 'V', 5.2, 8.2, 0.3, 'becVoltage', 1],
      ['withy-heat', 'Slows down at', '°C', 84, 120, 4, 'none', 1],
    ],
  },
  {
    id: 'sluice',
    name: 'Sluice',
    resistanceMilliohm: 0.8,
    currentLimitA: 180,
    note: 'Deadband is in pulse width: 500 µs is the whole half of the trigger.',
    parameters: [
      ['sluice-rpm-advance', 'Advance by rpm', '°', 0, 64, 2, 'boostTiming', 1],
      ['sluice-rpm-low', 'Advance from', 'krpm', 2, 28, 0.2, 'boostStartRpm', 1000],
      ['sluice-rpm-high', 'Advance to', 'krpm', 6, 44, 0.2, 'boostEndRpm', 1000],
      ['sluice-full-advance', 'Full-trigger advance', '°', 0, 28, 2, 'turboTiming', 1],
      ['sluice-full-delay', 'Full-trigger delay', 's', 0, 0.8, 0.02, 'turboDelay', 1],
      ['sluice-full-rate', 'Full-trigger rate', '°/20 ms', 0.2, 6, 0.2, 'turboRamp', 50],
      ['sluice-coast', 'Coast brake', '%', 0, 50, 1, 'dragBrake', 1],
      ['sluice-brake', 'Strongest brake', '%', 20, 100, 5, 'brakeForce', 1],
      ['sluice-rate', 'Trigger rate', '%/10 ms', 1, 50, 1, 'punchRate', 100],
      ['sluice-calm-zone', 'Calm zone', '%', 0, 40, 5, 'softeningRange', 1],
      ['sluice-calm', 'Calming', '%', 0, 60, 5, 'softeningStrength', 1],
      ['sluice-pwm', 'PWM', 'kHz', 4, 24, 2, 'pwmFrequency', 1],
      ['sluice-floor', 'Voltage floor', 'mV/cell', 2800, 3600, 50, 'cutoffPerCell', 0.001],
      ['sluice-deadband', 'Deadband', 'µs', 10, 60, 5, 'neutralDeadband', 0.2],
      ['sluice-cap', 'Current cap', 'A', 60, 180, 10, 'currentLimit', 1],
      ['sluice-servo', 'Servo supply', 'V', 5.6, 7.6, 0.2, 'becVoltage', 1],
    ],
  },
]

/** The settings most of the team's cars start from, in each make's own units. */
export const WITHY_BASE: Readonly<Record<string, number>> = {
  'withy-roll-brake': 7.5,
  'withy-full-brake': 82,
  'withy-middle': 4.5,
  'withy-ease-to': 14,
  'withy-ease-by': 18,
  'withy-rise': 600,
  'withy-chop': 11,
  'withy-turbo-wait': 640,
  'withy-turbo-ramp': 90,
  'withy-turbo-top': 7.5,
  'withy-speed-first': 12250,
  'withy-speed-last': 27500,
  'withy-speed-top': 3,
  'withy-cell': 3.15,
  'withy-supply': 7,
  'withy-heat': 104,
}
export const SLUICE_BASE: Readonly<Record<string, number>> = {
  'sluice-rpm-advance': 2,
  'sluice-rpm-low': 11.4,
  'sluice-rpm-high': 25.6,
  'sluice-full-advance': 6,
  'sluice-full-delay': 0.68,
  'sluice-full-rate': 1.4,
  'sluice-coast': 8,
  'sluice-brake': 85,
  'sluice-rate': 7,
  'sluice-calm-zone': 15,
  'sluice-calm': 25,
  'sluice-pwm': 14,
  'sluice-floor': 3250,
  'sluice-deadband': 20,
  'sluice-cap': 170,
  'sluice-servo': 7.2,
}
