// Package slack is the coach in a team's Slack: events come in by Socket Mode
// and become channel.Messages, a channel.Handler answers them, and the answers
// are posted. It alone knows Slack's library, and it never knows the coach.
//
// The way of a message: socket.go receives it and acknowledges it; event.go and
// plain.go read it; manners.go decides whether it is ours to answer; lane.go
// keeps a thread's messages in order; post.go posts, no faster than Slack
// allows and never twice; blocks.go, home.go and modal.go lay out what people see. What has been taken on is claimed beforehand
// (channel.Claims), so that whatever is delivered again is answered once, and
// what a crash interrupted is finished after it.
package slack
