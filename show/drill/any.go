package drill

// AnyBriefing is what a trainee is told before a drill that is untold: it holds for all
// of them and gives none away. What it asks for is common practice, no source.
const AnyBriefing = `You have the console of this show. The field reports ready on the radio before you arm.

Anything may go wrong on the way, or nothing: what you see, hear and are told is what there is. It is told afterwards which drill it was.

When in doubt, hold. HELD is not safe to enter: nobody works in the field until the show has been cut and made safe. Resume only when the cause is gone, the field and the spotter have said so, and every line is ticked.`
