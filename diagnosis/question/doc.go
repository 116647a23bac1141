// Package question chooses what to ask while the customer is still on the
// phone: the question whose answer is expected to save the most.
//
// Start from [New] and [Asker.Next], which ranks the questions of a family for
// one piece of evidence as [Choice] values. [Value] is the decision theory
// underneath: the expected value of sample information for any finite states.
//
// A question is worth what its answer saves downstream: the loss of the best
// kit, with a return visit when it is incomplete, plus the minutes of searching
// on site. Information as such (entropy) is worth nothing: an answer that
// changes no decision saves nothing. From the saving goes the time of asking.
// When none pays, none is asked.
//
// It looks one question ahead. Two questions that only tell something together
// are therefore missed (four equally likely faults numbered in binary, two
// questions reading one digit each); that is the known price of not planning
// whole dialogues.
//
// It must not know text, telephones, transport, storage or the clock.
//
// Worked number: faults A, B, C of 0.55, 0.30, 0.15 whose parts cost 4, 6 and 10
// minutes to carry, a return visit of 90. Without asking all are carried: 20. A
// question answered yes with 0.9, 0.2, 0.1 leaves 12.37 after a yes (0.57 of
// times) and 20 after a no: it saves 4.35 minutes.
package question
