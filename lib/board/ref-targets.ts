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
} as const
export type RefField = keyof typeof REF_TARGETS
export const isRefField = (field: string): field is RefField => Object.hasOwn(REF_TARGETS, field)
