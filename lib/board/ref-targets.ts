/** Which collection each reference field picks from. */
export const REF_TARGETS = {
  driverId: 'people',
  mechanicId: 'people',
  personId: 'people',
  motorId: 'motors',
  controllerId: 'controllers',
  supplyId: 'supplies',
  onCarId: 'cars',
  carId: 'cars',
  checklistId: 'checklists',
  trackId: 'tracks',
  ruleSheetId: 'ruleSheets',
  roundId: 'rounds',
  classId: 'classes',
  wordId: 'handlingWords',
  serviceRuleId: 'serviceRules',
} as const
export type RefField = keyof typeof REF_TARGETS
export const isRefField = (field: string): field is RefField => Object.hasOwn(REF_TARGETS, field)

/** What else names a record of another list, and is picked elsewhere than in its form. */
const OTHER_TARGETS: Readonly<Record<string, string>> = {
  heatId: 'heats',
  runId: 'entries',
  packId: 'packs',
  tireSetId: 'tireSets',
  packIn: 'packs',
  tiresOn: 'tireSets',
  standInId: 'people',
  chargerId: 'chargers',
  copiedFrom: 'meetings',
}

/** The collection that a field names a record of; null for any other field. */
export const refTarget = (field: string): string | null =>
  isRefField(field) ? REF_TARGETS[field] : (OTHER_TARGETS[field] ?? null)
