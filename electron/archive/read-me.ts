/** Stands in every archive, so that it can be understood without the program. */
export const readMe = `This is an archive of a Portsight build book: measurements of two-stroke engines on the bench.

portsight.json   what the archive is: format and version, when and where it was made, how many rows of each table,
                 and the SHA-256 of each data file
schema.json      JSON Schema of portsight.json and of the rows of each data file
data/            the records, as JSON: one file for up to 2000 rows of a table
  workplaces          the computers that made rows
  changes             the change log: what changed, when, at which workplace, superseding what; each workplace counts
                      its entries from 1 without gaps
  customers, customer-versions, parts, builds, mock-ups
                      records that people edit, as they stand, each with the change that made it so
  pictures            evidence of readings; the files are in pictures/
  wheel-setups, wheel-setup-states
                      places of camera and wheel; the state with the highest changeId counts
  readings, marks     raw readings and remarks on them; neither is ever edited
  sheets              printed sheets with the data they were drawn from; the pages are in sheets/
tables/          the readings once more as CSV (RFC 4180, UTF-8, decimal point)
pictures/        JPEG and PNG files named by the picture's id
sheets/          HTML pages without scripts, named by the sheet's id

Ids are UUIDs of version 7 (RFC 9562) and never change. Times are ISO 8601 in UTC. Angles are degrees, lengths
millimetres, volumes cubic centimetres; rotations are clockwise as the camera sees the wheel, counted from the set-up's
reference frame.
`;
