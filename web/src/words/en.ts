// Every word the page says by itself, in one place, so that it can be translated: another
// language is another file of this shape. Steps, findings and labels of values come from the
// server, which says them.

/** `1 piece`, `3 pieces`. */
const of = (count: number, one: string, many: string) => `${count} ${count === 1 ? one : many}`;

export const en = {
  language: "en",
  name: "Rondure",

  shelf: {
    title: "Shelf",
    says: (folder: string) => `Plans kept in ${folder}`,
    empty: "No plan stands here yet. Make one below.",
    waiting: "Looking at the shelf",
    copy: "Copy",
    rename: "Rename",
    remove: "Remove",
    copyOf: (title: string) => `Copy ${title}`,
    renameOf: (title: string) => `Rename ${title}`,
    removeOf: (title: string) => `Remove ${title}`,
    newName: "New name",
    save: "Save",
    leave: "Leave it",
    changed: (when: string) => `changed ${when}`,
    removed: (title: string) => `${title} lies in the bin.`,
    takeBack: "Take it back",
    bin: (count: number) => `Bin: ${of(count, "plan", "plans")}`,
    binned: (when: string) => `removed ${when}`,
    restore: (title: string) => `Take it back: ${title}`,
  },

  make: {
    title: "A new plan",
    form: "Form",
    diameter: "Diameter",
    diameterHelp: "As you would write it: 60 mm, 6 cm, 2 3/8 in",
    name: "Name",
    nameHelp: "Left empty, one is found from form and size",
    units: "Units",
    make: "Make the plan",
    examples: "Or begin with an example",
    example: "60 mm",
  },

  verdict: {
    sound: "Nothing stands in the way",
    watch: "Can be made, with care",
    stops: "Cannot be made as planned",
    unreadable: "The plan cannot be read",
    waiting: "Working it out",
  },

  weight: { stops: "Stops the job", watch: "Take care", note: "Worth knowing" },
  counted: (stops: number, watch: number, note: number) =>
    [
      stops ? of(stops, "stops", "stop") + " the job" : "",
      watch ? `${watch} to take care of` : "",
      note ? `${note} worth knowing` : "",
    ]
      .filter(Boolean)
      .join(", "),

  bar: {
    shelf: "Shelf",
    undo: "Undo",
    redo: "Redo",
    units: "Units",
    mm: "mm",
    inch: "inch",
    theme: "Light",
    themes: { system: "as the screen", light: "light", dark: "dark" },
    kept: "Kept",
    keeping: "Keeping",
    waiting: "Held in this page",
    skip: "Skip to the plan",
  },

  server: {
    gone: "The server does not answer. What you change stays in this page and is handed over when it is back. Start it again with: rondure",
    retry: "Try now",
    back: "The server is back; everything is kept.",
    failed: (says: string) => `That did not work. ${says}`,
    close: "Close",
  },

  clash: {
    says: "This plan was changed elsewhere, in another tab or by an editor. You see the newer one; your own change is held here.",
    takeBack: "Put mine in its place",
    letGo: "Let mine go",
  },

  sides: {
    label: "Sides of the plan",
    set: "What to set",
    numbers: "Numbers",
    findings: "Findings",
    drawings: "Drawings",
    size: "Another size",
    text: "Plan text",
    files: "Paper and files",
  },

  piece: {
    label: "The piece. Arrow keys turn it, plus and minus bring it nearer and farther, Home sets it straight.",
    waiting: "Cutting the piece",
    failed: "This browser draws no solids: WebGL is missing or switched off. Numbers, drawings and paper work without.",
    which: "Piece",
    together: "Put together",
    colour: "Coloured by",
    colours: { wood: "wood", step: "step", thickness: "thickness" },
    compare: "Before and after",
    before: "before",
    after: "after",
    cut: "Cut open",
    cutAt: "Where",
    cutAcross: "across the axis",
    cutAlong: "along the axis",
    cutDirection: "Direction",
    nearer: "Nearer",
    farther: "Farther",
    home: "Set straight",
    view: "View",
    legend: "Legend",
    touched: "Touched place",
  },

  strip: {
    label: "Set-ups, in the order of the job",
    finished: "Finished piece",
    number: (number: number) => `Set-up ${number}`,
    earlier: "Earlier set-up",
    later: "Later set-up",
    play: "Play the job",
    stop: "Stop",
    done: (done: number, all: number) => `${done} of ${all} done`,
  },

  set: {
    finished: "The finished piece",
    needs: "On the bench",
    cautions: "Before you begin",
    begin: "Go to set-up 1",
    next: (title: string) => `Next: ${title}`,
    speed: (from: number, to: number) => `${Math.round(from)} to ${Math.round(to)} rpm`,
    caution: "Caution",
    stepDone: (step: string) => `Done: ${step}`,
    measureDone: (label: string, shown: string) => `Set: ${label}, ${shown}`,
    waiting: "The numbers come as soon as the plan can be read.",
    disclaimer: "Makers' instructions, local rules and qualified teaching come first.",
  },

  numbers: {
    rack: "From the rack",
    offers: (label: string) => `What the rack offers for ${label}`,
    usual: (shown: string) => `left open: ${shown}`,
    allUsual: "all as usual",
    slider: (label: string) => `${label}, slider`,
    limits: "Where findings begin",
    limitsWaiting: (done: number, of: number) => (of > 0 ? `Looking for the limits, ${done} of ${of}` : "Looking for the limits"),
    limitsNone: "No finding begins within this range.",
    span: (from: string, to: string) => `${from} to ${to}`,
    waiting: "waits for the server",
  },

  findings: {
    none: "Nothing to report.",
    limitFrom: (from: string) => `The limit is from: ${from}.`,
    show: "Show the place",
    showAt: (says: string) => `Show the place of: ${says}`,
    applied: (says: string) => `Done: ${says}`,
  },

  drawings: {
    which: "Drawing",
    section: "Section anywhere",
    strip: "Equator, developed",
    setup: "This set-up",
    through: "Cut",
    planes: { along: "along the axis", across: "across the axis" },
    height: "Height of the cut",
    turn: "Turned by",
    waiting: "Drawing",
    save: "Save the drawing",
  },

  text: {
    label: "The plan's text",
    help: "The same file the command line reads. Every pause is kept.",
    line: (line: number) => `Line ${line}`,
    allowed: "Allowed",
    mend: "Mend",
    goTo: (line: number) => `Go to line ${line}`,
    reads: "The plan can be read.",
  },

  size: {
    says: "The same piece at another diameter, with the tools in your rack. Bits and jaws come in steps; a hanger, a line of glue and the least wood stay what they are.",
    diameter: "New diameter",
    find: "Find its numbers",
    finding: "Looking for numbers that hold",
    stale: "The plan has changed since. Look again.",
    found: (from: string, to: string, off: string) =>
      `From ${from} to ${to}: proportions ${off} off on the whole, and no limit broken.`,
    watch: "No numbers do without something to watch. Nearest without it stood:",
    inTheWay: "In the way",
    works: "What works",
    number: "Number",
    old: "Old",
    proportional: "In proportion",
    chosen: "Chosen",
    keep: (label: string) => `Keep ${label} as it is`,
    keepShort: "Keep",
    name: "Name of the new plan",
    take: "Put it on the shelf",
  },

  files: {
    packet: "The packet for the bench",
    packetSays: "Steps, drawings and full-size templates. Print at 100 %, not fitted to the page, and measure the check line first.",
    a4: "Packet on A4 (PDF)",
    letter: "Packet on Letter (PDF)",
    solid: "The solid",
    solidSays: "The surface of the wood, for printing or other programs.",
    moment: "When",
    finished: "finished",
    after: (title: string) => `after ${title}`,
    kinds: { "3mf": "3MF", stl: "STL", glb: "glTF" },
    save: (kind: string) => `Save ${kind}`,
    plan: "The plan",
    planSave: "Save the plan (TOML)",
    unkept: "Files are made from the plan as last kept.",
  },
};

export type Words = typeof en;
