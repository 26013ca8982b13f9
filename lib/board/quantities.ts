/**
 * Common quantities of speed controls. A make's own parameter, under whatever label the team knows it, is mapped on one of these
 * (or on none), so that the setup-math can read any make.
 */
export const QUANTITIES = {
  none: { name: 'Not used in projections', unit: '' },
  boostTiming: { name: 'Boost timing at the upper rpm', unit: '°' },
  boostStartRpm: { name: 'Boost begins at', unit: 'rpm' },
  boostEndRpm: { name: 'Boost full at', unit: 'rpm' },
  turboTiming: { name: 'Turbo timing', unit: '°' },
  turboDelay: { name: 'Turbo delay at full throttle', unit: 's' },
  turboRamp: { name: 'Turbo ramp', unit: '°/s' },
  dragBrake: { name: 'Drag brake', unit: '%' },
  brakeForce: { name: 'Brake force', unit: '%' },
  punchRate: { name: 'Punch (duty per second)', unit: '%/s' },
  softeningRange: { name: 'Softening: share of the trigger', unit: '%' },
  softeningStrength: { name: 'Softening: strength', unit: '%' },
  pwmFrequency: { name: 'PWM frequency', unit: 'kHz' },
  cutoffPerCell: { name: 'Low-voltage cutoff', unit: 'V/cell' },
  neutralDeadband: { name: 'Neutral deadband', unit: '%' },
  currentLimit: { name: 'Current limit', unit: 'A' },
  throttleExpo: { name: 'Throttle expo', unit: '%' },
  becVoltage: { name: 'BEC voltage', unit: 'V' },
} as const

export type Quantity = keyof typeof QUANTITIES
export const QUANTITY_KEYS = Object.keys(QUANTITIES) as [Quantity, ...Quantity[]]
