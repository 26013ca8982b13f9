import type { NumberLimits } from './check-number'

/**
 * What the room accepts at all. Wide on purpose: they keep nonsense and overflow out, they do not judge a setup.
 * What is usual on a 1/10 off-road car is in `usualRanges`.
 */
export const limits = {
  teeth: { min: 1, max: 1000, whole: true, unit: 'teeth' },
  ratio: { min: 1e-3, max: 1000 },
  tireDiameterMm: { min: 1, max: 1000, unit: 'mm' },
  rpm: { min: 0, max: 1e6, unit: 'rpm' },
  voltage: { min: 1e-3, max: 1000, unit: 'V' },
  cellVoltage: { min: 0, max: 10, unit: 'V per cell' },
  kv: { min: 1e-2, max: 1e6, unit: 'rpm/V' },
  windingResistance: { min: 1e-6, max: 1e4, unit: 'ohm' },
  resistance: { min: 0, max: 1e4, unit: 'ohm' },
  current: { min: 0, max: 1e5, unit: 'A' },
  mass: { min: 1e-4, max: 1e4, unit: 'kg' },
  share: { min: 0, max: 1 },
  openShare: { min: 0, max: 1, above: true, below: true },
  length: { min: 1e-6, max: 1e5, unit: 'm' },
  height: { min: 0, max: 10, unit: 'm' },
  speed: { min: 0, max: 300, unit: 'm/s' },
  openSpeed: { min: 0.01, max: 300, unit: 'm/s' },
  grip: { min: 1e-4, max: 1e5 },
  rolling: { min: 0, max: 1 },
  dragArea: { min: 0, max: 10, unit: 'm²' },
  airDensity: { min: 0, max: 10, unit: 'kg/m³' },
  inertia: { min: 0, max: 10, unit: 'kg m²' },
  cells: { min: 1, max: 100, whole: true, unit: 'cells' },
  capacity: { min: 1e-4, max: 1e9, unit: 'Ah' },
  degrees: { min: 0, max: 90, unit: 'degrees' },
  gainPerDegree: { min: 0, max: 0.1, unit: 'per degree' },
  seconds: { min: 0, max: 1e6, unit: 's' },
  openSeconds: { min: 1e-3, max: 1e6, unit: 's' },
  celsius: { min: -60, max: 500, unit: '°C' },
  temperatureCoefficient: { min: 0, max: 0.02, unit: 'per K' },
  thermalResistance: { min: 1e-4, max: 1e4, unit: 'K/W' },
} as const satisfies Record<string, NumberLimits>

/** What 1/10 electric off-road cars usually have. Common practice, no source; outside it a card may ask, never refuse. */
export const usualRanges = {
  massKg: [1.5, 1.75],
  dragAreaM2: [0.012, 0.03],
  rollingHardClay: [0.02, 0.05],
  rollingCarpet: [0.015, 0.035],
  rollingAstroturf: [0.03, 0.07],
  gripDustyDirt: [0.4, 0.7],
  gripClayOrAstroturf: [0.8, 1.2],
  gripCarpet: [1.0, 1.5],
  tireDiameterMm: [80, 88],
  wheelbaseM: [0.27, 0.29],
  driveEfficiency: [0.8, 0.92],
} as const satisfies Record<string, readonly [number, number]>
