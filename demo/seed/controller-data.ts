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

/** Two invented makes with lists of their own: other labels, units and steps for the same quantities. */
export const DEMO_CONTROLLERS: readonly DemoController[] = [
  {
    id: 'dike',
    name: 'Dike',
    resistanceMilliohm: 0.6,
    currentLimitA: 220,
    note: 'Punch level measured on the stand: one level is about 50 % of duty per second.',
    parameters: [
      ['dike-boost', 'Boost', '°', 0, 60, 1, 'boostTiming', 1],
      ['dike-boost-from', 'Boost from', 'krpm', 1, 30, 0.5, 'boostStartRpm', 1000],
      ['dike-boost-to', 'Boost to', 'krpm', 5, 45, 0.5, 'boostEndRpm', 1000],
      ['dike-turbo', 'Turbo', '°', 0, 40, 1, 'turboTiming', 1],
      ['dike-turbo-wait', 'Turbo wait', 's', 0, 1, 0.05, 'turboDelay', 1],
      ['dike-turbo-slope', 'Turbo slope', '°/0.1 s', 1, 30, 1, 'turboRamp', 10],
      ['dike-drag', 'Drag brake', '%', 0, 100, 1, 'dragBrake', 1],
      ['dike-brake', 'Brake', '%', 0, 100, 1, 'brakeForce', 1],
      ['dike-punch', 'Punch', 'level', 1, 20, 1, 'punchRate', 50],
      ['dike-soft-range', 'Soft start, trigger', '%', 0, 50, 1, 'softeningRange', 1],
      ['dike-soft-strength', 'Soft start, strength', '%', 0, 80, 5, 'softeningStrength', 1],
      ['dike-frequency', 'Drive frequency', 'kHz', 2, 32, 1, 'pwmFrequency', 1],
      ['dike-cutoff', 'Cutoff', 'V/cell', 2.8, 3.6, 0.1, 'cutoffPerCell', 1],
      ['dike-neutral', 'Neutral width', '%', 2, 12, 1, 'neutralDeadband', 1],
      ['dike-servo', 'Servo voltage', 'V', 6, 7.4, 0.2, 'becVoltage', 1],
      ['dike-fan', 'Fan from', '°C', 30, 80, 5, 'none', 1],
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
      ['sluice-rpm-low', 'Advance starts', 'rpm', 1000, 30000, 500, 'boostStartRpm', 1],
      ['sluice-rpm-high', 'Advance complete', 'rpm', 5000, 45000, 500, 'boostEndRpm', 1],
      ['sluice-full-advance', 'Full-trigger advance', '°', 0, 30, 1, 'turboTiming', 1],
      ['sluice-full-delay', 'Full-trigger delay', 'ms', 0, 500, 10, 'turboDelay', 0.001],
      ['sluice-full-rate', 'Full-trigger rate', '°/s', 10, 300, 10, 'turboRamp', 1],
      ['sluice-coast', 'Coast brake', '%', 0, 50, 1, 'dragBrake', 1],
      ['sluice-brake', 'Strongest brake', '%', 20, 100, 5, 'brakeForce', 1],
      ['sluice-rate', 'Trigger rate', '%/10 ms', 1, 50, 1, 'punchRate', 100],
      ['sluice-calm-zone', 'Calm zone', '%', 0, 40, 5, 'softeningRange', 1],
      ['sluice-calm', 'Calming', '%', 0, 60, 5, 'softeningStrength', 1],
      ['sluice-pwm', 'PWM', 'kHz', 4, 24, 2, 'pwmFrequency', 1],
      ['sluice-floor', 'Voltage floor', 'mV/cell', 2800, 3600, 50, 'cutoffPerCell', 0.001],
      ['sluice-deadband', 'Deadband', 'µs', 10, 60, 5, 'neutralDeadband', 0.2],
      ['sluice-cap', 'Current cap', 'A', 60, 180, 10, 'currentLimit', 1],
      ['sluice-servo', 'Servo supply', 'V', 6, 7.4, 0.1, 'becVoltage', 1],
    ],
  },
]

/** The settings most of the team's cars start from, in each make's own units. */
export const DIKE_BASE: Readonly<Record<string, number>> = {
  'dike-boost': 0,
  'dike-boost-from': 12,
  'dike-boost-to': 26,
  'dike-turbo': 8,
  'dike-turbo-wait': 0.1,
  'dike-turbo-slope': 6,
  'dike-drag': 9,
  'dike-brake': 86,
  'dike-punch': 12,
  'dike-soft-range': 20,
  'dike-soft-strength': 25,
  'dike-frequency': 16,
  'dike-cutoff': 3.2,
  'dike-neutral': 5,
  'dike-servo': 6,
  'dike-fan': 45,
}
export const SLUICE_BASE: Readonly<Record<string, number>> = {
  'sluice-rpm-advance': 0,
  'sluice-rpm-low': 12000,
  'sluice-rpm-high': 26000,
  'sluice-full-advance': 6,
  'sluice-full-delay': 100,
  'sluice-full-rate': 60,
  'sluice-coast': 8,
  'sluice-brake': 85,
  'sluice-rate': 6,
  'sluice-calm-zone': 20,
  'sluice-calm': 20,
  'sluice-pwm': 12,
  'sluice-floor': 3200,
  'sluice-deadband': 25,
  'sluice-cap': 160,
  'sluice-servo': 6,
}
