'use client'
import { useParams } from 'next/navigation'
import { applyRuleSheet, setRemoved } from '@/lib/board'
import { useAct, useBoard, useGoOn, useMay } from '@/app/sync'
import { Button, Empty, Link, LinkButton, Menu, Note, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'
import { RecordForm } from '@/app/record/record-form'
import { RULE_GROUPS, RuleLists } from '@/app/record/rule-fields'

/** The rules of one class at this meeting. */
export function ClassScreen({ classId }: { classId: string }) {
  const view = useBoard()
  const act = useAct()
  const goOn = useGoOn()
  const { meetingId } = useParams<{ meetingId: string }>()
  const may = useMay('meeting', 'classes', classId, 'name')
  const list = `/board/${meetingId}/setup/classes`
  const record = view.classes.get(classId)
  if (!record)
    return (
      <Empty title="No such class" level={1} acts={<LinkButton href={list}>All classes</LinkButton>}>
        <p>This meeting has no class at this address.</p>
      </Empty>
    )
  const used = view.heats.live.filter((h) => h.classId === classId).length
  const sheet = view.ruleSheets.get(record.ruleSheetId)
  return (
    <>
      <p>
        <Link href={list} className="inline-flex items-center min-h-[var(--target)]">
          Classes
        </Link>
      </p>
      <Ticket>
        <TicketHead
          level={1}
          title={nameOf(record)}
          sub={sheet ? `from the rule sheet ${nameOf(sheet)}` : 'rules entered by hand'}
        />
        {record.removed && <Note tone="hot">This class was removed from the meeting.</Note>}
        <Note>Inspection goes by the event’s own rules. The board only warns by the rules entered here.</Note>
        <RecordForm doc="meeting" collection="classes" recordId={classId} groups={RULE_GROUPS} />
        <RuleLists doc="meeting" collection="classes" recordId={classId} />
        <TicketBody>
          <div className="btn-row">
            {view.ruleSheets.live.length > 0 && may && (
              <Menu
                label="Apply a rule sheet"
                button="Apply a rule sheet"
                acts={view.ruleSheets.live.map((s) => ({
                  id: s.id,
                  label: nameOf(s),
                  onAct: () =>
                    void act(
                      (ctx, v) => applyRuleSheet(ctx, v, { classId, ruleSheetId: s.id }),
                      `Rules of ${nameOf(s)} applied`,
                    ),
                }))}
              />
            )}
            <Button
              look="hot"
              isDisabled={!may}
              onPress={() => {
                const removed = !record.removed
                const done = act(
                  (ctx) => setRemoved(ctx, 'meeting', 'classes', classId, removed),
                  removed ? `${nameOf(record)} removed` : `${nameOf(record)} is back`,
                )
                if (done.ok && removed) goOn(list)
              }}
            >
              {record.removed ? 'Restore this class' : 'Remove this class'}
            </Button>
          </div>
          {used > 0 && !record.removed && (
            <p className="small">
              {used} heats are in this class. If you remove it, they stay but have no rules.
            </p>
          )}
        </TicketBody>
      </Ticket>
    </>
  )
}
