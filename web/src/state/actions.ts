// What can be done on the page, by what it is about. Each action changes the page's state, or
// sets going what will; views call these and nothing else.
export { begin } from "./begin";
export { currentLook, isAssembled, pieceShown } from "./look";
export { goTo, showSetup, showSide, stepSetup } from "./place";
export { play } from "./play";
export { apply, letMineGo, redo, setValue, takeBackMine, tick, typeText, undo } from "./session";
export { copyPlan, make, removePlan, renamePlan, restorePlan, takeExample } from "./shelf";
export { tryValue } from "./show";
export { setTheme } from "./theme";
export { retry, say } from "./trouble";
export { pointAt, setColour, setCompare, setCut, showPiece, showStep, touch } from "./view";
