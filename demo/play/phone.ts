import * as Y from 'yjs'
import { exportDoc, type BoardView } from '@/lib/board'
import { canonicalJson } from '@/lib/core/json'
import type { Role } from '@/lib/core/role'

/** One simulated phone, however it is connected. */
export interface Phone {
  readonly personId: string
  readonly name: string
  readonly role: Role
  readonly docs: { readonly kit: Y.Doc; readonly meeting: Y.Doc }
  readonly online: boolean
  view(): BoardView
  /** Resolves once everything written here so far is kept on the other side. Rejects when that takes too long. */
  saved(): Promise<void>
  goAway(): void
  comeBack(): Promise<void>
  /** What the other side did not take, in words. */
  refusals(): readonly string[]
  close(): void
}

/** A phone's boards as one canonical text: equal boards, equal text. */
export const boardText = (phone: Phone): string =>
  canonicalJson({ kit: exportDoc('kit', phone.docs.kit), meeting: exportDoc('meeting', phone.docs.meeting) })

/** Which changes a phone knows, as text: cheap to compare while phones catch up. */
export const stateText = ({ docs }: Phone): string =>
  [docs.kit, docs.meeting].map((doc) => Buffer.from(Y.encodeStateVector(doc)).toString('base64')).join(' ')
