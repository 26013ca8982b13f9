/** The fields of a part's temperature after a run, and of when it was taken. */
const PARTS = {
  motor: { value: 'motorC', after: 'motorAfterMin' },
  controller: { value: 'controllerC', after: 'controllerAfterMin' },
  pack: { value: 'packC', after: 'packAfterMin' },
} as const
export type HotPart = keyof typeof PARTS
export const HOT_PARTS = Object.keys(PARTS) as readonly HotPart[]
export const temperatureFields = (part: HotPart) => PARTS[part]
