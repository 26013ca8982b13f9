/** What can be typed into a list, by its collection: what several of them are called, and an example. */
export const SEVERAL: Readonly<Record<string, { many: string; example: string }>> = {
  people: { many: 'people', example: 'Ines Varga' },
  cars: { many: 'cars', example: 'Heron, 4WD' },
  motors: { many: 'motors', example: 'Motor A, modified, 7.5 T' },
  controllers: { many: 'speed controls', example: 'Box 1, 380 A' },
  controllerParameters: { many: 'parameters', example: 'Drag brake, min 0, max 40, step 2, unit %' },
  packs: { many: 'packs', example: 'P1 to P12, 5000 mAh, 2 cells' },
  chargers: { many: 'chargers', example: 'Bench 1, 2 channels, 20 A' },
  supplies: { many: 'supplies', example: 'Bench supply, 1000 W' },
  tireSets: { many: 'tire sets', example: 'T1 to T8, 4WD, compound soft' },
  checklists: { many: 'checklists', example: 'Sunday check, inspection' },
  checklistItems: { many: 'items', example: 'Wheel nuts tight' },
  followUpRules: { many: 'follow-up rules', example: 'Set the gear mesh' },
  handlingWords: { many: 'words', example: 'Loose on power' },
  rulesOfThumb: { many: 'rules of thumb', example: 'Softer rear springs' },
  ruleSheets: { many: 'rule sheets', example: '4WD Modified, 4WD, modified' },
  tracks: { many: 'tracks', example: 'Home track, clay' },
}
