/** What follows a car's name: `: …`, `, heat 5: …`, `, A final, heat 31: …`, ` sent back by …`. */
const AFTER_CAR = /^(?:(?:, [^:]*)?:\s*| (?=\p{Ll}))/u

/** A loose end's title as `Rook, heat 5: no pack assigned` without its beginning, where the car stands beside it already. As it is when it begins otherwise. */
export function titleWithoutCar(title: string, car: string): string {
  if (car === '' || !title.startsWith(car)) return title
  const rest = title.slice(car.length)
  const words = rest.replace(AFTER_CAR, '')
  return words === rest ? title : words.charAt(0).toUpperCase() + words.slice(1)
}
