package bot

// aside finds the team of somebody who speaks to Becket alone. Nothing is said to who is in no team.
func (t *turn) aside() (known bool, err error) {
	rooms, err := t.tx.RoomsOf(t.m.From)
	if err != nil || len(rooms) == 0 {
		return false, err
	}
	t.private, t.thread = true, ""
	if len(rooms) > 1 {
		t.refuse(aloneWhichTeam)
		return false, nil
	}
	t.m.Room = rooms[0]
	t.team, known, err = t.tx.Team(t.m.Room)
	return known, err
}

// aloneForm is the conversation in which somebody alone with Becket fills in a form: none of the team's room.
const aloneForm = "alone"

// routeAlone takes what is said outside the team's room: commands that need no conversation there.
func (t *turn) routeAlone(wrong string) error {
	cmd, args, is := commandIn(t.m.Text)
	t.m.Thread = aloneForm
	if err := t.openForm(); err != nil {
		return err
	}
	switch {
	case wrong != "":
		t.refuse("%s", wrong)
		return nil
	case t.m.Replaces != "":
		t.refuse(aloneOnly)
		return nil
	case t.form != nil && (!is || cmd.run == nil || !cmd.alone):
		return t.answerForm()
	case !is || !cmd.alone:
		if asked, err := t.opinionAlone(); err != nil || asked {
			return err
		}
		t.refuse(aloneOnly)
		return nil
	}
	return t.obey(cmd, args)
}
