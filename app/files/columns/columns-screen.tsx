'use client'
import { useState } from 'react'
import { explainColumns } from '@/lib/lists'
import { Link, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { RuledTable } from '@/app/ui/ruled-table'
import { namedLists } from '../list-names'
import { ListPicker } from '../list-picker'

/** What each column of each list means, from the board's own table of fields. */
export function ColumnsScreen() {
  const lists = namedLists(['kit', 'meeting'])
  const [id, setId] = useState('kit.cars')
  const list = lists.find((l) => l.id === id)
  return (
    <div className="page">
      <Link href="/files" className="inline-flex items-center min-h-[var(--target)]">
        Files
      </Link>
      <Ticket>
        <TicketHead
          level={1}
          title="Columns of the lists"
          sub="Files are CSV (RFC 4180) in UTF-8. Units are in the headers; times are ISO 8601 in UTC"
        />
        <TicketBody>
          <ListPicker lists={lists} value={id} onChange={setId} />
          <p className="small">
            A cell that would be a formula (it begins with =, +, - or @) has an apostrophe before it. It comes
            off again when the file is imported. This holds for commas between cells, as the board writes
            them: a program that parts cells otherwise may still find a formula inside one.
          </p>
        </TicketBody>
        {list && (
          <RuledTable
            label={`Columns of ${list.label}`}
            head={['Column', 'What it holds', 'Who may change it']}
          >
            <tbody>
              {explainColumns(list.doc, list.collection).map((c) => (
                <tr key={c.header}>
                  <th scope="row">{c.header}</th>
                  <td>{c.holds}</td>
                  <td>{c.who}</td>
                </tr>
              ))}
            </tbody>
          </RuledTable>
        )}
      </Ticket>
    </div>
  )
}
