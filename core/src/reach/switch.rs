//! How a limit switch reads at an input: released, pressed, and with a broken wire.

/// What an input sees.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Level {
    /// Near ground.
    Low,
    /// Near the supply.
    High,
    /// Nothing drives it: it wanders.
    Unsteady,
}

/// The kind of switch.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Contact {
    /// A contact that closes when pressed.
    NormallyOpen,
    /// A contact that opens when pressed.
    NormallyClosed,
    /// An electronic switch that drives low when pressed, high when not.
    SensorLow,
    /// An electronic switch that drives high when pressed, low when not.
    SensorHigh,
}

/// What a broken wire looks like.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Broken {
    /// Like a pressed switch: the axis stops.
    Pressed,
    /// Like a released switch: the axis runs on.
    NotSeen,
    /// Like anything.
    Unsteady,
}

/// A switch as it is wired.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Wiring {
    /// The kind of switch.
    pub contact: Contact,
    /// Level to which a resistor pulls the input while nothing else drives it; [`Level::Unsteady`] without one.
    pub pull: Level,
    /// Level that a closed contact connects to; not used for electronic switches.
    pub closed: Level,
}

impl Wiring {
    /// Whether the switch is electronic.
    pub const fn electronic(&self) -> bool {
        matches!(self.contact, Contact::SensorLow | Contact::SensorHigh)
    }

    /// The level with the switch released.
    ///
    /// # Source
    /// Circuit of the contact, the pull resistor and the input.
    pub const fn released(&self) -> Level {
        match self.contact {
            Contact::NormallyOpen => self.pull,
            Contact::NormallyClosed => self.closed,
            Contact::SensorLow => Level::High,
            Contact::SensorHigh => Level::Low,
        }
    }

    /// The level with the switch pressed.
    ///
    /// # Source
    /// Circuit of the contact, the pull resistor and the input.
    pub const fn pressed(&self) -> Level {
        match self.contact {
            Contact::NormallyOpen => self.closed,
            Contact::NormallyClosed => self.pull,
            Contact::SensorLow => Level::Low,
            Contact::SensorHigh => Level::High,
        }
    }

    /// Whether pressing changes nothing: a contact to the rail to which the input is pulled.
    pub fn dead(&self) -> bool {
        self.released() == self.pressed()
    }

    /// Whether the controller must invert the signal, one that takes high for pressed; `None` unless both levels are sure.
    pub fn invert(&self) -> Option<bool> {
        match (self.released(), self.pressed()) {
            (Level::Low, Level::High) => Some(false),
            (Level::High, Level::Low) => Some(true),
            _ => None,
        }
    }

    /// What the input sees when the signal wire breaks: the pull alone.
    ///
    /// # Source
    /// Circuit of the pull resistor and the input.
    pub fn broken(&self) -> Broken {
        if self.dead() {
            Broken::NotSeen
        } else if self.pull == Level::Unsteady {
            Broken::Unsteady
        } else if self.pull == self.pressed() {
            Broken::Pressed
        } else {
            Broken::NotSeen
        }
    }

    /// Whether every wire that breaks looks like a pressed switch.
    ///
    /// Of an electronic switch that includes the supply wire: without supply its output stage holds nothing high, so only
    /// one that is pressed at low level, with the input pulled down, is safe.
    ///
    /// # Source
    /// Fail-safe principle of limit switches, common practice; the output stage without supply: its own diodes lead to the
    /// dead supply rail, common practice.
    pub fn safe(&self) -> bool {
        self.broken() == Broken::Pressed && self.contact != Contact::SensorHigh
    }
}

/// The likeliest reason for what was seen.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Fault {
    /// None: it reads as it should.
    None,
    /// It reads the other way round.
    Reversed,
    /// Always at the level of a broken wire or an open contact.
    Open,
    /// Always at the level of a closed contact, or of a sensor that does not switch.
    Stuck,
    /// Nothing drives the input all the time.
    Floating,
    /// Always high, whatever should make it low.
    AlwaysHigh,
    /// Always low, whatever should make it high.
    AlwaysLow,
}

impl Wiring {
    /// The likeliest fault from the levels seen released and pressed; `None` when nothing was seen.
    ///
    /// # Source
    /// Circuit of the contact, the pull resistor and the input; the likelihood is common practice.
    pub fn fault(&self, released: Option<Level>, pressed: Option<Level>) -> Option<Fault> {
        let fits = |seen: Option<Level>, expected| seen.is_none_or(|seen| seen == expected);
        if released.is_none() && pressed.is_none() {
            return None;
        }
        if released == Some(Level::Unsteady) || pressed == Some(Level::Unsteady) {
            return Some(Fault::Floating);
        }
        if fits(released, self.released()) && fits(pressed, self.pressed()) {
            return Some(Fault::None);
        }
        if released == Some(self.pressed()) && pressed == Some(self.released()) {
            return Some(Fault::Reversed);
        }
        Some(match released.or(pressed) {
            Some(level) if self.pull == level => Fault::Open,
            Some(level) if !self.electronic() && self.closed == level => Fault::Stuck,
            Some(Level::High) => Fault::AlwaysHigh,
            _ => Fault::AlwaysLow,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Contact::{NormallyClosed, NormallyOpen, SensorHigh, SensorLow};
    use Level::{High, Low, Unsteady};

    fn wired(contact: Contact, pull: Level, closed: Level) -> Wiring {
        Wiring {
            contact,
            pull,
            closed,
        }
    }

    #[test]
    fn every_wiring_reads_as_the_circuit_says() {
        let cases = [
            (NormallyOpen, High, Low, High, Low, Broken::NotSeen, false),
            (NormallyClosed, High, Low, Low, High, Broken::Pressed, true),
            (NormallyOpen, Low, High, Low, High, Broken::NotSeen, false),
            (NormallyClosed, Low, High, High, Low, Broken::Pressed, true),
            (NormallyOpen, High, High, High, High, Broken::NotSeen, false),
            (NormallyClosed, Low, Low, Low, Low, Broken::NotSeen, false),
            (
                NormallyOpen,
                Unsteady,
                Low,
                Unsteady,
                Low,
                Broken::Unsteady,
                false,
            ),
            (
                NormallyClosed,
                Unsteady,
                High,
                High,
                Unsteady,
                Broken::Unsteady,
                false,
            ),
            (SensorLow, High, Low, High, Low, Broken::NotSeen, false),
            (SensorLow, Low, Low, High, Low, Broken::Pressed, true),
            (SensorHigh, High, Low, Low, High, Broken::Pressed, false),
            (SensorHigh, Low, Low, Low, High, Broken::NotSeen, false),
            (
                SensorHigh,
                Unsteady,
                Low,
                Low,
                High,
                Broken::Unsteady,
                false,
            ),
        ];
        for (contact, pull, closed, released, pressed, broken, safe) in cases {
            let wiring = wired(contact, pull, closed);
            assert_eq!(
                (wiring.released(), wiring.pressed()),
                (released, pressed),
                "{wiring:?}"
            );
            assert_eq!(
                (wiring.broken(), wiring.safe()),
                (broken, safe),
                "{wiring:?}"
            );
        }
    }

    #[test]
    fn only_two_sure_levels_can_be_inverted() {
        assert_eq!(wired(NormallyOpen, High, Low).invert(), Some(true));
        assert_eq!(wired(NormallyClosed, High, Low).invert(), Some(false));
        assert_eq!(wired(NormallyOpen, High, High).invert(), None);
        assert_eq!(wired(NormallyOpen, Unsteady, Low).invert(), None);
    }

    #[test]
    fn what_was_seen_names_the_fault() {
        let nc = wired(NormallyClosed, High, Low);
        assert_eq!(nc.fault(None, None), None);
        assert_eq!(nc.fault(Some(Low), Some(High)), Some(Fault::None));
        assert_eq!(nc.fault(Some(High), Some(Low)), Some(Fault::Reversed));
        assert_eq!(nc.fault(Some(High), Some(High)), Some(Fault::Open));
        assert_eq!(nc.fault(Some(Low), Some(Low)), Some(Fault::Stuck));
        assert_eq!(nc.fault(Some(Unsteady), Some(High)), Some(Fault::Floating));
        assert_eq!(nc.fault(None, Some(High)), Some(Fault::None));
        assert_eq!(nc.fault(None, Some(Low)), Some(Fault::Stuck));
        let sensor = wired(SensorLow, High, Low);
        assert_eq!(sensor.fault(Some(High), Some(High)), Some(Fault::Open));
        assert_eq!(sensor.fault(Some(Low), Some(Low)), Some(Fault::AlwaysLow));
    }
}
