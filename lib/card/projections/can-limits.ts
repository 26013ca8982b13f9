/** A can aimed at and a can to stop at, °C. Common practice, no source; the motor maker's limit comes first. */
export const CAN_AIM = 80
export const CAN_STOP = 95
/** A can loses some degrees by the minute: one read later than this was hotter at the flag than its reading says. Minutes. Common practice, no source. */
export const CAN_SOON_MIN = 2
