'use client'
import { useState } from 'react'
import { addRecord, moveInList, setRemoved } from '@/lib/board'
import { useAct, useBoard, useMay } from '@/app/sync'
import { Button, FormField, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { SeveralDialog } from '../several/several-dialog'
import { RecordField } from '@/app/record/record-field'

/** The items of a checklist in the order in which they are signed. */
export function ChecklistItems({ checklistId }: { checklistId: string }) {
  const view = useBoard()
  const act = useAct()
  const may = useMay('kit', 'checklistItems', 'new', 'text')
  const [text, setText] = useState('')
  const [several, setSeveral] = useState(false)
  const items = view.checklistItems.live.filter((i) => i.checklistId === checklistId)
  const list = items.map((i) => i.id)
  const add = () => {
    if (text.trim() === '') return
    const order = Math.max(-1, ...items.map((i) => i.order ?? 0)) + 1
    const done = act(
      (ctx) => addRecord(ctx, 'kit', 'checklistItems', { checklistId, text: text.trim(), order }),
      'Item added',
    )
    if (done.ok) setText('')
  }
  const move = (recordId: string, by: 1 | -1) =>
    act((ctx) => moveInList(ctx, { doc: 'kit', collection: 'checklistItems', list, recordId, by }))
  return (
    <Ticket>
      <TicketHead title="Items" sub={`${items.length}, signed one by one`} />
      <ol className="kit-rows">
        {items.map((item, i) => (
          <li key={item.id} className="item-row">
            <span className="num small pt-8">{i + 1}</span>
            <div className="grid gap-3 min-w-0">
              <RecordField doc="kit" collection="checklistItems" recordId={item.id} field="text" isRequired />
              <RecordField
                doc="kit"
                collection="checklistItems"
                recordId={item.id}
                field="caution"
                hint="For steps where hands can get hurt. Shown with the item."
              />
              <RecordField
                doc="kit"
                collection="checklistItems"
                recordId={item.id}
                field="fact"
                hint="The item shows what the board knows. The signature counts only while that stays true."
              />
              <div className="btn-row">
                <Button
                  isDisabled={!may || i === 0}
                  aria-label={`Item ${i + 1} up`}
                  onPress={() => move(item.id, -1)}
                >
                  Up
                </Button>
                <Button
                  isDisabled={!may || i === items.length - 1}
                  aria-label={`Item ${i + 1} down`}
                  onPress={() => move(item.id, 1)}
                >
                  Down
                </Button>
                <Button
                  look="quiet"
                  isDisabled={!may}
                  aria-label={`Remove item ${i + 1}`}
                  onPress={() =>
                    act(
                      (ctx) => setRemoved(ctx, 'kit', 'checklistItems', item.id, true),
                      `Item ${i + 1} removed`,
                    )
                  }
                >
                  Remove
                </Button>
              </div>
            </div>
          </li>
        ))}
        {items.length === 0 && <li className="small p-4">No items yet. An empty list can’t be signed.</li>}
      </ol>
      <TicketBody>
        <FormField
          label="New item"
          value={text}
          onChange={setText}
          maxLength={240}
          isDisabled={!may}
          onEnter={add}
        />
        <div className="btn-row">
          <Button look="do" isDisabled={!may || text.trim() === ''} onPress={add}>
            Add the item
          </Button>
          <Button isDisabled={!may} onPress={() => setSeveral(true)}>
            Add several
          </Button>
        </div>
      </TicketBody>
      <SeveralDialog
        collection="checklistItems"
        one="item"
        fixed={{ checklistId }}
        isOpen={several}
        onOpenChange={setSeveral}
      />
    </Ticket>
  )
}
