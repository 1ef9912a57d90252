//! Remarks that say nothing of a body, in six languages: no health caution is planned from any of them. What is not
//! understood may be asked about; a limitation, a wish or a clinician's word may not be made of it.

use jiff::civil::date;

use crate::support::library::library;

const REMARKS: &str = "
I have 2 kids
left work early
love backbends
broke up 3 weeks ago
I run 3 times a week
moved here 5 weeks ago
my left neighbour told me about this class
I like the back row
new to yoga
I have a big heart
I'm a teacher at a primary school
head of department
shoulder to cry on
I'm 34
34 years old
I can do the splits
I love inversions
I swim twice a week
I got married 8 weeks ago
started yoga 10 weeks ago
I might be 10 minutes late
I prefer a spot by the window
I have a black mat
my husband comes too
I work at a hospital
I'm a nurse
physio by trade
coming straight from work
please no loud music
can we do pigeon
a bit shy
I had a cold drink
cold hands always
right, see you Thursday
right on time usually
hip hop dancer
on foot from the station
no meat
lost my job 3 weeks ago
expecting a busy week
due at work at 8
rent due in March
25 weeks in this country
20 weeks to the marathon
training for a marathon in 12 weeks
holiday in 3 weeks
flying to Spain in June
my birthday is in March
bought new shoes
broke my phone
I'd like to work on my core
I drive a lot
fit and healthy
all fine
feeling good today
no complaints
never been better
left-handed
right-handed
former gymnast
been doing yoga for 20 years
10 weeks of yoga
I'm back
back again after the summer
glad to be back
my son is 6 weeks in school
I love the final rest
happy to be touched
I bring my own mat
own bolster
195 cm
6 minutes late
my mum recommended you
my boss has a bad back
my friend has a bad knee
the old studio closed
booked for June
waiting for my sister
operations manager
I work in theatre
my operating system is slow
the heart of the city
knee-high boots
elbow room please
neck of the woods
best foot forward
by heart
stroke of luck
hand in hand
second hand mat
on the other hand I like it
I own a shop
my head is full
heading to the station
no weights please
weight training on Mondays
light sleeper
I play the drums
love the drop in class
the pressure of work
under pressure at work
the room temperature is fine
I lost the way
I lost my keys
expecting a parcel
a disc jockey
compact disc collector
my sister is pregnant
my wife is 20 weeks pregnant
my dog had a hip operation
I work with pregnant women
I'm a knee surgeon
I'm a midwife
back door is open
paying you back on Friday
ankle boots
wrist watch
flu season is here
had my flu jab yesterday
expecting great things
two left feet haha
6 weeks until Christmas
paid for 6 weeks
armchair yoga fan
bump into you
hands down the best class
tengo dos hijos
me encanta el yoga
salgo pronto del trabajo
llego 5 minutos tarde
es mi primera clase
me gusta la música
trabajo en un hospital
me mudé hace 3 semanas
todo bien
estoy en forma
vengo con una amiga
tengo 40 años
me gusta ir a pie
voy a pie al trabajo
mi perro cojea
mi madre tiene artrosis
de corazón gracias
a la derecha de la puerta por favor
j'ai deux enfants
j'adore le yoga
c'est mon premier cours
tout va bien
je suis en forme
j'ai 40 ans
je viens avec une amie
je quitte le travail tôt
je me suis mariée il y a 3 semaines
pas de musique forte
je viens à pied
de tout cœur merci
tout droit du bureau
ma mère a de l'arthrose
un coup de main
ich habe zwei Kinder
ich liebe Yoga
alles gut
mir geht es gut
ich bin fit
ich laufe zweimal die Woche
ich komme 5 Minuten später
bin umgezogen vor 3 Wochen
ich bin 40
ich arbeite im Krankenhaus
meine Freundin kommt mit
Heute zum ersten Mal
ich komme zu Fuß
von Herzen danke
meine Mutter hat Arthrose
aus erster Hand
Hals über Kopf
Kreuz und quer
tenho dois filhos
adoro yoga
é a minha primeira aula
tudo bem
estou em forma
tenho 40 anos
venho com uma amiga
mudei de casa há 3 semanas
chego 5 minutos atrasada
venho a pé
de coração obrigada
a minha mãe tem artrose
em segunda mão
ho due figli
amo lo yoga
è la mia prima lezione
tutto bene
sono in forma
ho 40 anni
vengo con un'amica
mi sono trasferita 3 settimane fa
arrivo 5 minuti in ritardo
vengo a piedi
grazie di cuore
mia madre ha l'artrosi
a mano a mano
";

#[test]
fn nothing_is_planned_from_ordinary_remarks() {
    let remarks = REMARKS.lines().filter(|line| !line.is_empty());
    let recorded = Some(date(2026, 5, 2));
    let mut wrong = Vec::new();
    let mut tried = 0;
    for words in remarks {
        tried += 1;
        let read = library().lexicon.read(words, recorded);
        if !read.limitations.is_empty() || !read.guidance.is_empty() || read.no_touch {
            let told = read.limitations.iter().map(|told| told.what.as_str());
            wrong.push((words, told.map(str::to_owned).collect::<Vec<_>>()));
        }
    }
    assert!(tried >= 100, "{tried}");
    assert!(wrong.is_empty(), "{wrong:#?}");
}
