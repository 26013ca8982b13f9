/**
 * Does whoever looks have keys beside the screen? Where not, a field that takes the focus by itself brings up a keyboard over half of the sheet, and
 * what the sheet asks can mostly be answered without. False on the server.
 */
export const hasKeys = (): boolean =>
  typeof matchMedia === 'function' && matchMedia('(pointer: fine)').matches
