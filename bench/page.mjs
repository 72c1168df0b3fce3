export function writePage() {}
