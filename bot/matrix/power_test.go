//go:build goolm

package matrix

import (
	"testing"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"
)

// TestWhoMayReplaceARoom: room version 12 gives who made a room, and those named beside, power without end, whatever the power levels
// say (MSC4289, "Explicitly privilege room creators"); earlier versions give none but what the levels say.
func TestWhoMayReplaceARoom(t *testing.T) {
	const maker, beside, moderator, member id.UserID = "@maker:a", "@beside:a", "@moderator:a", "@member:a"
	levels := func(tombstone int) *event.PowerLevelsEventContent {
		return &event.PowerLevelsEventContent{Users: map[id.UserID]int{moderator: 50}, Events: map[string]int{"m.room.tombstone": tombstone}}
	}
	for _, c := range []struct {
		name    string
		version id.RoomVersion
		levels  *event.PowerLevelsEventContent
		may     map[id.UserID]bool
	}{
		{"12, high", id.RoomV12, levels(150), map[id.UserID]bool{maker: true, beside: true}},
		{"12, usual", id.RoomV12, levels(50), map[id.UserID]bool{maker: true, beside: true, moderator: true}},
		{"12, no levels", id.RoomV12, nil, map[id.UserID]bool{maker: true, beside: true}},
		{"11, high", id.RoomV11, levels(100), nil},
		{"11, usual", id.RoomV11, levels(50), map[id.UserID]bool{moderator: true}},
		{"11, anybody", id.RoomV11, levels(0), map[id.UserID]bool{moderator: true}},
		{"11, no levels", id.RoomV11, nil, map[id.UserID]bool{maker: true}},
	} {
		t.Run(c.name, func(t *testing.T) {
			create := &event.CreateEventContent{RoomVersion: c.version, AdditionalCreators: []id.UserID{beside}}
			state := mautrix.RoomStateMap{event.StateCreate: {"": {Type: event.StateCreate, Sender: maker, Content: event.Content{Parsed: create}}}}
			if c.levels != nil {
				state[event.StatePowerLevels] = map[string]*event.Event{"": {Type: event.StatePowerLevels, Content: event.Content{Parsed: c.levels}}}
			}
			for _, who := range []id.UserID{maker, beside, moderator, member} {
				if got := mayReplace(state, who); got != c.may[who] {
					t.Errorf("%s may: %v", who, got)
				}
			}
			if mayReplace(mautrix.RoomStateMap{}, maker) {
				t.Error("a room without a beginning can be replaced")
			}
		})
	}
}
