/** Signs that fit into the running digits' box, by the name of its width; the boxes are in `styles/ticket.css`. */
export const DIGIT_BOXES = { short: 5, usual: 7, passed: 10, day: 15 } as const

/** The narrowest box that holds these digits: a box whose width did not change lays out nothing outside. */
export function digitWidth(face: string): 'short' | 'passed' | 'day' | undefined {
  if (face.length <= DIGIT_BOXES.short) return 'short'
  if (face.length <= DIGIT_BOXES.usual) return undefined
  return face.length <= DIGIT_BOXES.passed ? 'passed' : 'day'
}
