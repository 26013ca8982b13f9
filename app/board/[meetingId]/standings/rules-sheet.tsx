'use client'
import { useState } from 'react'
import { RecordForm } from '@/app/record/record-form'
import { RuleLists, SCORING_GROUPS } from '@/app/record/rule-fields'
import { Button, Dialog } from '@/app/ui'

/** How results become places in a class: opened beside the table that it changes. */
export function RulesSheet({ classId, className }: { classId: string; className: string }) {
  const [isOpen, setIsOpen] = useState(false)
  return (
    <>
      <Button onPress={() => setIsOpen(true)}>Rules</Button>
      <Dialog title={`Scoring of ${className}`} isOpen={isOpen} onOpenChange={setIsOpen}>
        <p className="small">
          From the event’s rule book. What is left empty counts as usual: by place, all rounds, the better
          result of a tie first.
        </p>
        <RecordForm doc="meeting" collection="classes" recordId={classId} groups={SCORING_GROUPS} />
        <RuleLists doc="meeting" collection="classes" recordId={classId} />
      </Dialog>
    </>
  )
}
