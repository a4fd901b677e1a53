//! Families of words that more than one check goes by.
//!
//! A family of roots, for [`super::words::mentions`], holds the beginnings of words; a family of words, for
//! [`super::words::among`] and [`super::clause::any`], holds them whole.

/// Roots of what cuts off or keeps away what would hurt.
pub(super) const PROTECTIONS: &str =
    "breaker cut-out cutout fuse gfci guard interlock protection rcbo rcd thermal";
/// Roots of what joins two points that should be apart.
pub(super) const SHORTS: &str = "foil jumper link nail strap wire";
/// Roots of tools of bare metal.
pub(super) const METAL_TOOLS: &str =
    "blade hammer knife pliers screwdriver spanner tweezers wrench";
/// Roots of what makes such a tool another one.
pub(super) const INSULATED: &str = "ceramic fibreglass insulat nylon plastic";
/// Roots of more of the same.
pub(super) const BIGGER: &str = "bigger heavier higher larger stronger";
/// Roles of nobody, or of the person who is at the bench anyway; whole words, without their blanks.
pub(super) const NOBODY: &str = "any anybody anyone me myself n/a na nobody none noone oneself operator same self whoever yourself";
/// Roots of an oscilloscope and what comes with it.
pub(super) const SCOPES: &str = "oscilloscope scope";

/// Words of what the mains come from.
pub(super) const MAINS: &str = "mains outlet wall receptacle grid";
/// Words of what energy comes from.
pub(super) const SUPPLIES: &str = "mains outlet wall grid socket receptacle limiter variac supply supplies breaker isolator contactor \
    power transformer source rcd gfci rcbo";
/// Words of what closes the way to the mains.
pub(super) const SWITCHGEAR: &str = "breaker isolator isolators contactor disconnector rcd rcds rcbo rccb gfci gfi elcb mcb interrupter residual-current \
    residual ground-fault earth-leakage";
/// Words that follow `mains` and make it a part of the equipment or of its lead.
pub(super) const PARTS_OF_MAINS: &str = "switch plug lead cord fuse side terminal terminals transformer filter capacitor inlet wiring \
    selector voltage meter guard earth indicator light pin pins tag tags prong prongs wire wires conductor conductors primary \
    winding rail range";
/// Words of a whole piece of equipment.
pub(super) const SETS: &str =
    "set amplifier appliance equipment unit device receiver radio instrument apparatus machine";
/// Words of a lead that brings the mains.
pub(super) const CORDS: &str = "lead cord cable flex plug iec";
/// Words of what is switched on at a bench and feeds nothing.
pub(super) const TOOLS: &str = "meter tester light scope oscilloscope generator iron fan extractor thermometer voltmeter ammeter \
    millivoltmeter multimeter ohmmeter computer camera torch flashlight";

/// Words of what covers the equipment.
pub(super) const SHELLS: &str = "cover lid case cabinet housing enclosure hood shell panel";
/// Verbs of work on parts and joints, whatever they are.
pub(super) const WORK: &str = "solder desolder unsolder resolder unscrew replace swap exchange reach scrape bend probe clip lift defeat \
    wiggle waggle jiggle rock flex nudge prod poke prise pry reseat re-seat dress redress re-dress reroute crimp splice snip \
    tighten retighten loosen slacken scratch squirt spray brush wipe blow lean tug pinch squeeze knock rap tap short jumper wedge \
    drill unhook unclip glue peel straighten twist retouch strip clean untie shim bolt unbolt screw renew repair";
/// Verbs that are work on the parts of [`INNER`] alone.
pub(super) const HANDLE: &str = "remove take open pull push press move shift slide draw unplug disconnect connect put place fit refit insert change touch \
    hold feel bridge bypass attach detach fix hook hang rub drop pick join link rest lay fasten secure withdraw seat set ground \
    earth turn tie warm cool heat";
/// Words of what lies inside, or is held by hand inside.
pub(super) const INNER: &str = "cover lid case housing shield guard fuse board boards pcb card screws screw nut bolt panel interlock probe probes prod prods clip clips \
    crocodile inside chassis heatsink heatsinks capacitor capacitors reservoir joint joints wire wires wiring ribbon cable lead leads \
    connector connectors valve valves tube tubes transistor transistors resistor resistors diode diodes regulator choke winding \
    windings transformer relay tag tags terminal terminals track trace module bracket cathode anode grid collector emitter rectifier \
    bridge finger fingers hand hands jumper link screen cage";

/// Words before a verb that tells to do something.
pub(super) const LEADS: &str = "now then next first second third finally lastly afterwards also again please you just simply must should may \
    can will";
/// Words that begin a clause in which nothing is told yet: "with the limiter off, plug it in".
pub(super) const ASIDES: &str = "with without by for in at from on using when while as if until instead no both keeping standing";
/// What is plugged in inside the equipment, and brings nothing on.
pub(super) const INNER_PLUGS: &str = "valve valves tube tubes board boards card module ribbon secondary loudspeaker speaker probe probes headphones \
    relay crystal chip shorting blanking dummy tapping signal aerial";
