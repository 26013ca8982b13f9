import { Empty } from '@/app/ui/panels'

export default function NotFound() {
  return (
    <div className="page page-narrow">
      <Empty
        title="Nothing at this address"
        level={1}
        acts={
          <a className="btn" href="/">
            All meetings
          </a>
        }
      >
        <p>The link may be cut off, or the page was removed.</p>
      </Empty>
    </div>
  )
}
