import { Ticket, TicketBody, TicketHead } from '@/app/ui'

/** What never has to be typed twice, and where its act is. */
export const CopyHelp = () => (
  <Ticket>
    <TicketHead title="Copying" sub="You see what changes before anything is written" />
    <TicketBody>
      <p>
        A card: “Compare or copy a card” on it takes values from any run or car, of this meeting or another
        one. Uncheck the groups that you don’t want. One undo takes all of it back.
      </p>
      <p>
        A meeting: “New meeting” copies classes, rounds and cards from a past one, as you tick them. Crew,
        checklists, rule sheets and tracks are in the kit and come to every meeting. “Remove this meeting”
        under Meeting setup undoes all of it.
      </p>
      <p>
        Kit: “Add more like this” on a pack, a tire set or anything else makes up to 200 with labels that
        count on. “Add several” takes lines, ranges of labels, or a table pasted from a spreadsheet.
      </p>
    </TicketBody>
  </Ticket>
)
