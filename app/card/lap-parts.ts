import type { CardProjections, ProjectionBasis } from '@/lib/card'
import type { LapPart } from './projection-messages'

/**
 * A ground's lap: the best estimate, then the ±.
 * @throws Error with words for the screen, where the ground can't be projected
 */
export function* lapParts(
  project: (basis: ProjectionBasis, withSpread: boolean) => CardProjections,
  ground: string,
): Generator<LapPart, LapPart> {
  const basis = JSON.parse(ground) as ProjectionBasis
  yield lapPart(project, basis, false)
  return lapPart(project, basis, true)
}

function lapPart(
  project: Parameters<typeof lapParts>[0],
  basis: ProjectionBasis,
  withSpread: boolean,
): LapPart {
  const { problem: p, figures } = attempt(() => project(basis, withSpread))
  if (p) throw new Error(`${p.field}${p.value === '' ? '' : ` “${p.value}”`} ${p.reason}. ${p.remedy}`)
  return { withSpread, figures: JSON.stringify(figures) }
}

function attempt<A>(make: () => A): A {
  try {
    return make()
  } catch (error) {
    throw new Error(`The projection failed: ${error instanceof Error ? error.message : String(error)}`)
  }
}
