/** Where a value stands: a hollow phone while the value is only here, a ring once it is on the server: nothing that could be read as part of a number. */
export function MarkShape({ mark }: { mark: 'phone' | 'saved' }) {
  const phone = mark === 'phone'
  return (
    <span className="saved-mark" data-mark={mark}>
      <svg width="10" height="12" viewBox="0 0 10 12" aria-hidden="true">
        {phone ? (
          <>
            <rect x="1.5" y="1" width="7" height="10" fill="none" stroke="currentColor" strokeWidth="1.75" />
            <path d="M4 9h2" stroke="currentColor" strokeWidth="1.25" />
          </>
        ) : (
          <path
            d="M5 3.25a2.75 2.75 0 1 0 .01 0zM3.5 6.1l1.1 1.15 2-2.4"
            fill="none"
            stroke="currentColor"
            strokeWidth="1.1"
          />
        )}
      </svg>
      <span className={phone ? undefined : 'visually-hidden'}>
        {phone ? 'this phone' : 'saved on the server'}
      </span>
    </span>
  )
}
