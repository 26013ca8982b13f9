'use client'
import { Fragment } from 'react'
import type { DocKind } from '@/lib/board'
import { grantFor } from '@/lib/board'
import { useEditContext, useSession } from '@/app/sync'
import { canWrite } from '@/lib/board'
import { Caution, Note, TicketSection, type CautionKind } from '@/app/ui'
import { RecordField, type RecordFieldProps } from './record-field'

export type FieldLine = Omit<RecordFieldProps, 'doc' | 'collection' | 'recordId'> & { wide?: boolean }
export interface FieldGroup {
  title?: string
  /** Shown above the fields, where reading them off can hurt someone. */
  caution?: CautionKind
  fields: readonly FieldLine[]
}

/** A record's fields in ruled groups: one column on a phone, as many as fit on a laptop. */
export function RecordForm({
  doc,
  collection,
  recordId,
  groups,
}: {
  doc: DocKind
  collection: string
  recordId: string
  groups: readonly FieldGroup[]
}) {
  return (
    <>
      <ReadOnlyNote
        doc={doc}
        collection={collection}
        recordId={recordId}
        fields={groups.flatMap((g) => g.fields.map((f) => f.field))}
      />
      {groups.map((group, i) => (
        <Fragment key={group.title ?? i}>
          {group.title && <TicketSection title={group.title} level={2} />}
          {group.caution && <Caution kind={group.caution} />}
          <div className="form-grid">
            {group.fields.map(({ wide, ...line }) => (
              <div key={line.field} className={wide ? 'form-wide' : undefined}>
                <RecordField doc={doc} collection={collection} recordId={recordId} {...line} />
              </div>
            ))}
          </div>
        </Fragment>
      ))}
    </>
  )
}

/** Says once, above a form that this person can't change, who can. */
function ReadOnlyNote(props: {
  doc: DocKind
  collection: string
  recordId: string
  fields: readonly string[]
}) {
  const ctx = useEditContext()
  const { role } = useSession()
  const { doc, collection, recordId, fields } = props
  if (fields.some((f) => canWrite(ctx, doc, collection, recordId, f))) return null
  const who = Object.keys(grantFor(doc, collection, fields[0] ?? '') ?? {})
  return (
    <Note>
      A {role} can only look at this. {who.length ? `A ${who.join(' or a ')} can change it.` : ''}
    </Note>
  )
}
