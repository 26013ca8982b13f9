/** The request header by which the server tells a page that it is asked for at the hosting address; a browser's own is taken away. */
export const HOSTING_HEADER = 'x-stagecall-hosting'
/** The one page there. */
export const HOSTING_PATH = '/hosting'
