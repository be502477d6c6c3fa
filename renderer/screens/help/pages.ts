/** One page of the manual: short paragraphs, a list where order matters, cautions at the step. */
export interface HelpPage {
  readonly id: string;
  readonly title: string;
  readonly summary: string;
  readonly parts: readonly HelpPart[];
}

export interface HelpPart {
  readonly heading: string;
  readonly text: readonly string[];
  readonly steps?: readonly string[];
  readonly caution?: string;
}

/** The page that also prints a wheel. */
export const printedWheelPage = 'printed-wheel';

export const helpPages: readonly HelpPage[] = [
  {
    id: 'first-job',
    title: 'The first job',
    summary: 'From an empty book to a printed timing sheet.',
    parts: [
      {
        heading: 'In the office',
        text: ['Make a new build: the job, the engine, the barrel with its ports, and the mock-up.'],
        steps: [
          "Stroke and rod length turn degrees into piston positions. Measure the rod, or take the maker's figure; never guess it.",
          'List every port whose edge you want to read, singly or as a group. The bench asks for them in the order in which the crank meets them.',
          'Give the base gasket as fitted: crushed, measured after one torque.',
        ],
      },
      {
        heading: 'At the bench',
        text: [],
        steps: [
          'Fix the degree wheel to the crank and set the camera so that the whole wheel is in the picture.',
          'Set-up finds the rim and draws it over the picture. Drag it where it is wrong, turn the crank once, and say which way is forwards.',
          'Stamp the contact with the positive stop from both sides. The middle is true TDC; the wheel need not stand at zero.',
          'Stamp each port edge turning forwards, then each again turning backwards. The screen says which one is wanted next.',
        ],
        caution:
          'Ignition off, plug out and its lead earthed. Turn by hand only, never with the starter. Keep fingers out of the ports: an edge shears. Turn gently on to the stop and never lean on it.',
      },
      {
        heading: 'Afterwards',
        text: [
          'Mock-up shows what is measured, what is open and what is outside its limits. Sheets prints one page for the customer.',
        ],
      },
    ],
  },
  {
    id: 'true-tdc',
    title: 'True TDC',
    summary: 'Why a stop on both sides, and what the offset does.',
    parts: [
      {
        heading: 'The positive stop',
        text: [
          'Near the top the piston hardly moves: 0.01 mm on a dial gauge covers more than a degree. A stop well down, about 20 degrees each side, meets the piston where it moves.',
          'Twice is better: set the stop to another height and take both sides once more. Each height has its own middle and its own correction, and all count alike; one side alone changes nothing until the other is there.',
          'The middle of the two contacts is TDC. Where the bore or the pin is offset, the middle lies a little beside it; the correction is computed and shown.',
        ],
        caution: 'Take the stop out before the crank is turned for anything else. Never start an engine with it in.',
      },
      {
        heading: 'Checking it again',
        text: [
          'Take both contacts once more at the end. More than half a degree of drift means that wheel, pointer or camera moved: "Wheel moved" marks all readings since the last check that came out right as doubtful and keeps them; the stop is then taken anew. Pressed by mistake, "take back" undoes all of it in one step. Where readings disagree, "What may be wrong" lists what each possible cause would have left in them and the check that decides.',
        ],
      },
    ],
  },
  {
    id: 'port-edges',
    title: 'Port edges',
    summary: 'What counts as open, and how to judge it the same way every time.',
    parts: [
      {
        heading: 'The edge',
        text: [
          'The edge is the first point of the roof that the crown rim uncovers, at the bore surface. An edge keeps the name that it has turning forwards: "exhaust opens, turning backwards" is where, turning backwards, it is seen to shut.',
          'Say how the edge is judged: first crack of light, a feeler blade, a soft wire or nipped paper. A blade or wire makes the edge late by its thickness; this is computed out.',
          'Read before the ports are chamfered: light through a chamfer reads early.',
        ],
      },
      {
        heading: 'Both directions',
        text: [
          'Slack in bearings and pin moves the reading. Approach each edge slowly from one side, then from the other. The mean of both counts and the difference is shown; the slack of the session is the median of the differences.',
        ],
      },
    ],
  },
  {
    id: 'checks',
    title: 'The mock-up step by step',
    summary: 'From the box to the ignition; skipping, repeating, what becomes void.',
    parts: [
      {
        heading: 'The steps',
        text: [
          'Mock-up shows every step as a tile: open, done, skipped, void, in doubt or out of limits. The one button leads to what is wanted next. The order is that of the job, but any step may be taken first, skipped with a reason, or read again; everything is in the book, so the next day begins where the last one ended.',
          'A card of Checks says how the reading is done right, what usually goes wrong, and what can hurt. True TDC and the port events are stamped at the bench.',
        ],
      },
      {
        heading: 'Readings',
        text: [
          'Type the figure as it stands on the instrument and press Enter; type the next repeat. The step of the instrument and its calibration go into the uncertainty: choose it from the list, or say to which step you read.',
          'A repeat that stands apart from the others is marked and still counts. Strike it out with a reason, or correct it; what it said before stays in its history.',
          'Every result can be asked where it comes from. What makers and the trade say stands beside the results for comparison; limits are yours to enter, with their source.',
        ],
        caution:
          "The program measures and compares. Clearances, torque, least squish and ignition follow the maker's manual and a qualified engine builder.",
      },
      {
        heading: 'When something is changed',
        text: [
          'Another gasket, piston or head in "As assembled", or a cut recorded under "Changes", makes readings of the stack void. What becomes void is said before the change is kept; the readings stay, marked with the reason, and the steps ask for them again. Where only the entry was wrong, say so: then nothing becomes void.',
        ],
      },
      {
        heading: 'Duration without TDC',
        text: [
          'On the card of the port events a duration can be typed that was taken by zeroing the wheel at the opening and turning through the dead centre. No TDC is in it. Where it differs from closing less opening by more than the uncertainty, an edge was judged differently or the wheel slipped in between.',
        ],
      },
    ],
  },
  {
    id: 'uncertainty',
    title: 'Uncertainty and verdicts',
    summary: 'What stands behind plus or minus, and when a verdict is given.',
    parts: [
      {
        heading: 'Plus or minus',
        text: [
          'Shown and printed is U = 2 u: about 95 of 100 such intervals hold the true value. It is put together from how well the edge is found again, from slack where only one direction was read, and from the reading of the wheel itself. Press a number to see its parts.',
          'More repeats shrink the first part only. The reading of the wheel is common to one set-up and stays.',
        ],
      },
      {
        heading: 'Three verdicts',
        text: [
          '"Conforms": the value lies inside its limits by more than U. "Does not conform": it lies outside by more than U. "Can\'t be decided": it lies too close to a limit; how many more readings would decide it is said where readings can.',
          "A limit always stands with its source. Limits without a source are only somebody's memory.",
        ],
      },
    ],
  },
  {
    id: 'limits',
    title: 'Limits and their sources',
    summary: 'Entering a specification, and the order of work.',
    parts: [
      {
        heading: 'Limits',
        text: [
          "In Mock-up, each event, duration and the blowdown takes a nominal value, a lower and an upper limit, and the source: the maker's sheet, a class rule, or your own measured barrels. Final settings follow the maker's manual, the rules that apply to you, and a qualified engine builder.",
        ],
      },
      {
        heading: 'Order of work',
        text: [
          'Barrel height moves everything above it; the head moves squish and volume; the bowl moves volume only. Going the other way means doing work twice.',
        ],
        steps: [
          'Geometry and TDC proven.',
          'Port timing by barrel height.',
          'Squish by the head.',
          'Ratio by the bowl.',
          'Ignition last.',
        ],
        caution:
          "Machining can't be taken back. Mock it up again before the next cut, and measure again after every changed gasket.",
      },
    ],
  },
  {
    id: 'numbers',
    title: 'Typing numbers',
    summary: 'Units, commas, fractions.',
    parts: [
      {
        heading: 'Any unit, as typed',
        text: [
          'A length takes mm, in and thou in any field: 0.0345in, 34.5 thou, 0.87, 1/16 in. A bare number has the unit that stands in the field. Comma and point both are the decimal mark, so nothing may stand between thousands.',
          'A bare angle can mean degrees after TDC, before BDC, or half a duration, and a blowdown the difference of two durations. Where it could be more than one, you are asked; so you are for the unit of a table, or where a number would fit in another unit.',
        ],
      },
    ],
  },
  {
    id: 'keys',
    title: 'Keys',
    summary: 'Everything by keyboard.',
    parts: [
      {
        heading: 'Everywhere',
        text: [],
        steps: [
          'Esc: one step back. In a field it only leaves the field.',
          '1 to 7: the places of the open mock-up, in the order of the bar.',
          'Tab and Shift Tab: from one control to the next.',
          '/ : find, in the book.',
          'Ctrl Z and Ctrl Shift Z: undo and redo where rows are edited and in Checks.',
          'N and P in Checks: the next step, the one before. Enter keeps a typed reading and waits for its repeat.',
        ],
      },
      {
        heading: 'At the bench',
        text: [
          'Space or the foot switch stamps; a double press takes the last stamp back. Other keys, pedals and buttons are learned in Preferences by pressing them.',
          'Steady hold stamps by itself: turn the crank on to the edge and hold it still. It waits for a new turn after each stamp, and after a hand was in the picture.',
          'A knock is heard by the microphone once its level was learned from three knocks; two knocks take the last stamp back. Shift with the take-back key gives it back.',
          'A second camera or borescope is chosen beside the wheel; its picture is kept with each stamp.',
        ],
      },
    ],
  },
  {
    id: 'camera',
    title: 'Camera trouble',
    summary: 'Symptom, cause, remedy.',
    parts: [
      {
        heading: 'No picture',
        text: [
          "Refused: allow the camera for this page in the browser or in the system's privacy settings. In use: close the other program. Unplugged: plug it in again; the session goes on and what was stamped is kept.",
        ],
      },
      {
        heading: 'No reading',
        text: [
          'The reading is refused, with the reason, rather than guessed: moving too fast, a hand over the rim, glare, too dark, out of focus, wheel not whole in view, camera moved. The line below the state word says what to do.',
          'Without a camera, type what the wheel shows under its pointer; everything else works the same.',
        ],
      },
      {
        heading: 'Something has moved',
        text: [
          'The camera: leave the crank where it was last read, find the wheel again and answer that it was left untouched; every stamp goes on counting. If it was turned, take the stop from both sides again: earlier stamps keep their own TDC.',
          'The pointer: mark it in Set-up and it is watched. Without a mark, compare the pointer at the bench at any time. Angles by camera are read from the wheel and hold when the pointer moves.',
          'The wheel on the crank: no picture shows it. Only the check of TDC by the stop tells.',
        ],
      },
    ],
  },
  {
    id: 'ports',
    title: 'Ports and areas',
    summary: 'The port map, open areas and time-areas.',
    parts: [
      {
        heading: 'Where a height comes from',
        text: [
          'The height of an edge follows from its duration where both edges were read: true TDC is not in it. With one edge read it follows from that angle, else from the height of the port and the deck.',
          'Where the deck governs, height and deck count before the angles. Where both ways are known and disagree by more than a degree, the screen asks.',
        ],
      },
      {
        heading: 'Open area and time-area',
        text: [
          'Drag the line in the chart or use the arrow keys: the map shows the piston there, the table what is open. Page Up and Page Down go from edge to edge.',
          'Angle-area sums the open area over the crank angle, time-area over time at the speed given, and the specific time-area divides it by the swept volume. No flow coefficient is in them.',
          'Widths are chords as calipers give them; the map shows them developed, as a rubbing does.',
        ],
      },
    ],
  },
  {
    id: 'plan',
    title: 'Planning a change',
    summary: 'What to change, what it does to everything, in which order to cut.',
    parts: [
      {
        heading: 'Before and after',
        text: [
          'Enter gaskets, cuts and ground edges; every figure stands as it is and as planned, with the difference. A figure with limits says whether it gets better or worse against them.',
          'What both sides share cancels in the difference, so it is known better than the figures themselves. Plans are kept with the mock-up by themselves.',
        ],
      },
      {
        heading: 'Finding the change',
        text: [
          'Give the figures that are wanted. The height of the barrel can meet only one of port timing, deck and volume: choose which one governs.',
        ],
      },
      {
        heading: 'The order of the work',
        text: [],
        steps: [
          'Barrel height first: it moves every port, the squish and the volume.',
          'Ports next, each roof and floor.',
          'The squish by head face, head gasket or squish band, for they move no port.',
          'The bowl after that, for it moves the volume alone; the ignition last.',
        ],
        caution:
          'Goggles and a mask when grinding: plating dust harms the lungs. Leave some on, mock up again, then take the rest. Least squish, torque and ignition follow the maker and a qualified engine builder.',
      },
    ],
  },
  {
    id: printedWheelPage,
    title: 'A wheel to print',
    summary: 'A degree wheel whose place the camera knows at once.',
    parts: [
      {
        heading: 'Two scales on one face',
        text: [
          'For the eye it is an ordinary degree wheel: ticks at every degree, numbers from 0 to 350. Inside the numbers runs a ring of black and white cells. Any 60 degrees of it look like no other 60 degrees, so one picture is enough to know where the wheel stands: after a break, after the camera was moved, with a hand over most of the rim.',
          'Any other degree wheel is read as well. The turn of the crank is worth doing with this one too: it takes out eccentricity and run-out.',
        ],
      },
      {
        heading: 'Printing and mounting',
        text: [],
        steps: [
          'Print at actual size, 100 %, never fitted to the page.',
          'Measure both bars with a steel rule. Both off alike: correct the scale and print again. Only one off: the printer stretches one way, and every 0.5 mm in 100 mm bends the scale by 0.14 degrees; use another printer.',
          'Glue it flat on a stiff disc of plywood, acrylic or aluminium, then cut along the outer circle and bore the hole on the cross-hair. Keep it matt: a glossy film mirrors the lamp.',
        ],
        caution:
          'Turn the crank by hand only, ignition off, plug out and its lead earthed. Never start the engine with the wheel on: paper and disc fly apart.',
      },
    ],
  },
  {
    id: 'sheets',
    title: 'Sheets',
    summary: 'What is printed, and printing it again.',
    parts: [
      {
        heading: 'One page',
        text: [
          'The preview is the page itself. Printing or saving keeps it as it stands: it can be printed again identically at any time, also after readings were added or formulas changed.',
          'Measure the 100 mm bars on the paper, in both directions. Where they are short, the print dialog has shrunk the page: choose actual size.',
        ],
      },
    ],
  },
  {
    id: 'data',
    title: 'Where the data is',
    summary: 'The database, and what is never overwritten.',
    parts: [
      {
        heading: 'One file on this computer',
        text: [
          'Everything is in one database on this computer; Preferences shows its path. Every stamp is on disk before it is acknowledged. Nothing is sent anywhere.',
          'Readings are only added. Undo, corrections and doubts are notes on them, so the first reading can always be looked at again, with its picture.',
        ],
      },
    ],
  },
];
