/** Fields that are kept as a share of 1; people read and type them in %. */
const SHARES = new Set(['cars.driveEfficiency', 'runs.chargeShare'])

export const isShare = (collection: string, field: string): boolean => SHARES.has(`${collection}.${field}`)
