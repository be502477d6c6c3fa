/**
 * Every table of records, in an order in which a row never comes before what it refers to where that matters.
 * Lists of allowed words and what is derived from records (search, last activity) aren't among them.
 */
export const recordTables = [
  'workplace',
  'change_log',
  'customer',
  'customer_version',
  'part',
  'port',
  'build',
  'mock_up',
  'picture',
  'wheel_setup',
  'wheel_setup_state',
  'reading',
  'reading_mark',
  'sheet',
  'conflict',
] as const;
