'use client'
import { useParams } from 'next/navigation'
import { useSyncSnapshot } from '@/app/sync'
import { Button, Note, PickFile, Refused, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { ArchivePreview } from './archive-preview'
import { useArchiveImport } from './use-archive-import'

/** The team or the meeting as one file, and one of another board to bring in. For managers: it holds everything. */
export function ArchivePart() {
  const { online } = useSyncSnapshot()
  const { meetingId } = useParams<{ meetingId?: string }>()
  const { state, send, take, drop } = useArchiveImport()
  const busy = state.step === 'sending' || state.step === 'looking' || state.step === 'taking'
  return (
    <Ticket>
      <TicketHead
        title="Archive"
        sub="One zip with boards, history and photos, also as JSON and CSV. No invitations and no phones are in it"
      />
      <TicketBody>
        {online ? (
          <div className="btn-row">
            {meetingId !== undefined && (
              <a className="btn" href={`/api/archive/meeting/${meetingId}`} download>
                Download this meeting
              </a>
            )}
            <a className="btn" href="/api/archive/team" download>
              Download the team
            </a>
            <PickFile
              types={['.zip', 'application/zip']}
              isDisabled={busy || state.step === 'planned'}
              onPick={(file) => void send(file)}
            >
              Import an archive
            </PickFile>
          </div>
        ) : (
          <Note>
            <p>
              Archives are made and read by the server, and it does not answer right now. Lists work without
              it.
            </p>
          </Note>
        )}
        <p className="small">
          Keep the file like the board itself: it holds every name, photo and change; one of a meeting holds
          the whole kit and its crew too. Import only what you got from somebody you trust.
        </p>
        <p role="status" className="small">
          {state.step === 'sending' && `Sending: ${Math.round(state.sent * 100)}%`}
          {state.step === 'looking' && 'The server reads the archive. Nothing is changed yet.'}
          {state.step === 'taking' && 'The archive is being imported.'}
          {state.step === 'taken' &&
            `Imported: ${state.taken.values} values, ${state.taken.photos} photos, ${state.taken.history} lines of history.`}
          {state.step === 'taken' &&
            state.taken.left > 0 &&
            ` ${state.taken.left} ${state.taken.left === 1 ? 'value was' : 'values were'} changed here meanwhile and ${state.taken.left === 1 ? 'stays' : 'stay'}.`}
        </p>
      </TicketBody>
      {state.step === 'refused' && (
        <Refused refusal={state.refusal} acts={<Button onPress={drop}>Done</Button>} />
      )}
      {state.step === 'planned' && (
        <ArchivePreview
          plan={state.plan}
          onTake={(conflicts) => void take(state.id, state.plan.digest, conflicts)}
          onDrop={drop}
        />
      )}
    </Ticket>
  )
}
