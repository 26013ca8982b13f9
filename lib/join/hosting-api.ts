import { z } from 'zod'

/** What the hosting page sends and gets: imported by both ends. */

export const makeTeamRequest = z.strictObject({
  code: z.string().max(64),
  name: z.string().max(200),
  address: z.string().max(200),
})
export type MakeTeamRequest = z.infer<typeof makeTeamRequest>
export interface MakeTeamResponse {
  name: string
  address: string
  /** Of the first manager's link: it is told this once. */
  code: string
  /** The link itself, at the team's own address. */
  link: string
}
